"""Finding and reading the small TOML files that methods and letterings are kept in."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from nightfold.cube.errors import NightfoldError

#: No file a person wrote for this is anywhere near so large.
MAX_BYTES = 1_000_000
#: Where the files that come along lie.
SHIPPED = Path(__file__).parent


def shipped_names(folder: str) -> tuple[str, ...]:
    """The names of the files that come with Nightfold in ``methods`` or ``letterings``."""
    return tuple(sorted(path.stem for path in (SHIPPED / folder).glob("*.toml")))


def read_named(source: str | Path, folder: str, error: type[NightfoldError]) -> tuple[str, dict[str, Any]]:
    """The short name and the content of a shipped file (by name) or of one's own (by path).

    Raises ``error`` with one sentence when there is no such file or it cannot be read.
    """
    word = folder.removesuffix("s")
    text = str(source)
    if isinstance(source, str) and text in shipped_names(folder):
        data = (SHIPPED / folder / f"{text}.toml").read_bytes()
        return text, parse_toml(data, text, error)
    path = Path(text)
    try:
        if not text or not path.exists():
            known = ", ".join(shipped_names(folder))
            raise error(f"there is no {word} “{text[:80]}” and no file of that name; {word}s that come along: {known}")
        if not path.is_file():
            raise error(f"“{text}” is not a file; give the path of a {word} file (TOML)")
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except (OSError, ValueError) as trouble:
        if isinstance(trouble, NightfoldError):
            raise
        reason = trouble.strerror if isinstance(trouble, OSError) and trouble.strerror else "not a usable path"
        raise error(f"“{text[:80]}” cannot be read: {reason}") from None
    if len(data) > MAX_BYTES:
        raise error(f"{path.name} is larger than {MAX_BYTES:,} bytes, so it is no {word} file")
    return path.stem, parse_toml(data, path.name, error)


def parse_toml(data: bytes, name: str, error: type[NightfoldError]) -> dict[str, Any]:
    """The content of a TOML file called ``name``; raises ``error`` with one sentence when it is not TOML."""
    import tomllib

    try:
        return tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError as trouble:
        raise error(f"{name} is not a text file (byte {trouble.start + 1} is not UTF-8)") from None
    except tomllib.TOMLDecodeError as trouble:
        raise error(f"{name} is not valid TOML: {trouble}") from None
    except ValueError:
        raise error(f"{name} holds a number of too many digits to be read") from None
    except RecursionError:
        raise error(f"{name} is nested too deeply to be read") from None


def shown(value: object) -> str:
    """A value of a file as a sentence can carry it."""
    try:
        text = repr(value)
    except ValueError:  # Python does not write out whole numbers of thousands of digits
        return "a number of very many digits"
    return text if len(text) <= 40 else text[:40] + "…"


def only_known(table: dict[str, Any], known: tuple[str, ...], where: str, error: type[NightfoldError]) -> None:
    """Raise ``error`` for a key that means nothing here, which is usually a slip of the pen."""
    for key in table:
        if key not in known:
            listed = ", ".join(known[:10]) + (" …" if len(known) > 10 else "")
            raise error(f"{where}: “{key[:40]}” is not known here; known are {listed}")


def text_of(
    table: dict[str, Any], key: str, where: str, error: type[NightfoldError], default: str | None = None
) -> str:
    """The text under ``key``.

    Raises ``error`` when it is missing (and there is no default), is not text or holds control characters.
    """
    if key not in table and default is not None:
        return default
    if key not in table:
        raise error(f"{where}: “{key}” is missing")
    if not isinstance(table[key], str):
        raise error(f"{where}: “{key}” must be text in quotes, not {shown(table[key])}")
    text = str(table[key])
    control = [char for char in text if (char < " " and char not in "\t\n\r") or "\x7f" <= char < "\xa0"]
    if control:
        raise error(f"{where}: “{key}” holds the control character U+{ord(control[0]):04X}, which cannot be shown")
    return text


def table_of(data: dict[str, Any], key: str, where: str, error: type[NightfoldError]) -> dict[str, Any]:
    """The table under ``key``, empty when it is missing; raises ``error`` when it is something else."""
    table = data.get(key, {})
    if not isinstance(table, dict):
        raise error(f"{where}: “{key}” must be a table, written [{key}]")
    return table
