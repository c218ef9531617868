"""Methods and letterings by name: those that come along, and a person's own in their folder.

Only names lead to files here, never paths, so that nothing else on the machine can be read or written.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from nightfold.blind.errors import LetteringError, MethodError
from nightfold.blind.files import MAX_BYTES, SHIPPED, parse_toml, shown
from nightfold.blind.lettering import Lettering, lettering_from, lettering_names, load_lettering
from nightfold.blind.method import Method, load_method, method_from, method_names
from nightfold.cube.errors import NightfoldError
from nightfold.practice.files import set_aside, write
from nightfold.practice.places import data_folder
from nightfold.web.errors import NameTakenError, UnknownNameError, WebError

#: What the name of a person's own method or lettering may be.
NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
#: Names that some systems keep for devices.
_DEVICES = re.compile(r"con|prn|aux|nul|(com|lpt)[0-9]")


@dataclass(frozen=True, slots=True)
class Kind:
    """Methods or letterings: the folder's name, the word for one, the names of those that come along."""

    folder: str
    word: str
    shipped: Callable[[], tuple[str, ...]]
    error: type[NightfoldError]


METHODS = Kind("methods", "method", method_names, MethodError)
LETTERINGS = Kind("letterings", "lettering", lettering_names, LetteringError)


def own_names(kind: Kind) -> tuple[str, ...]:
    """The names of a person's own methods or letterings."""
    found = (path.stem for path in data_folder(kind.folder).glob("*.toml"))
    return tuple(sorted(name for name in found if _usable(name) and name not in kind.shipped()))


def is_own(kind: Kind, name: str) -> bool:
    """Whether ``name`` is one of a person's own, not one that comes along."""
    return name not in kind.shipped() and _usable(name) and _own_file(kind, name).is_file()


def _usable(name: str) -> bool:
    return NAME.fullmatch(name) is not None and _DEVICES.fullmatch(name) is None


def _own_file(kind: Kind, name: str) -> Path:
    return data_folder(kind.folder) / f"{name}.toml"


def source_of(kind: Kind, name: str) -> str:
    """What ``load_method`` and ``load_lettering`` take for a name: the name itself, or the path of the person's own."""
    return name if name in kind.shipped() else str(_own_file(kind, name)) if _usable(name) else name


def source(kind: Kind, name: str) -> str:
    """The text of a method's or lettering's file.  Raises UnknownNameError, and NightfoldError if it is unreadable."""
    if name in kind.shipped():
        path = SHIPPED / kind.folder / f"{name}.toml"
    elif is_own(kind, name):
        path = _own_file(kind, name)
    else:
        known = ", ".join((*kind.shipped(), *own_names(kind)))
        raise UnknownNameError(f"there is no {kind.word} “{name[:40]}”; there are {known}")
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
        if len(data) > MAX_BYTES:
            raise kind.error(f"{name} is larger than {MAX_BYTES:,} bytes, so it is no {kind.word} file")
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        raise kind.error(f"{name} is not a text file (byte {trouble.start + 1} is not UTF-8)") from None
    except OSError as trouble:
        raise kind.error(f"{name} cannot be read: {trouble.strerror or trouble}") from None


# --- loading -------------------------------------------------------------------------------------------------


def method(name: str) -> Method:
    """A method by name, one that comes along or a person's own; its ``name`` is that name.

    Raises UnknownNameError when there is none, MethodError when the person's own one cannot work.
    """
    return load_method(name) if name in method_names() else _method_of(source(METHODS, name), name, _own_letters())


def method_of(text: str, name: str) -> Method:
    """The method that ``text``, a method file, describes.  Raises MethodError."""
    return _method_of(text, name, _own_letters())


def _own_letters() -> tuple[tuple[str, int], ...]:
    """The person's own letterings, each with when it was last written, so that a cache notices changes."""
    stamps = []
    for name in own_names(LETTERINGS):
        try:
            stamps.append((name, _own_file(LETTERINGS, name).stat().st_mtime_ns))
        except OSError:  # just removed
            continue
    return tuple(stamps)


@lru_cache(maxsize=32)
def _method_of(text: str, name: str, own_letters: tuple[tuple[str, int], ...]) -> Method:
    data = parse_toml(text.encode(), name, MethodError)
    wanted = data.get("lettering")
    if isinstance(wanted, str) and wanted not in lettering_names():
        if wanted not in dict(own_letters):
            known = ", ".join((*lettering_names(), *dict(own_letters)))
            raise MethodError(f"{name}, lettering: there is no lettering “{wanted[:40]}”; there are {known}")
        data["lettering"] = str(_own_file(LETTERINGS, wanted))
    made = method_from(data, name)
    return replace(made, name=name, lettering=wanted if isinstance(wanted, str) else made.lettering)


def lettering(name: str, size: int = 3) -> Lettering:
    """A lettering by name, one that comes along or a person's own; its ``name`` is that name.

    Raises UnknownNameError when there is none, LetteringError when it cannot serve for ``size``.
    """
    if name in lettering_names():
        return load_lettering(name, size)
    return lettering_of(source(LETTERINGS, name), name, size)


def lettering_of(text: str, name: str, size: int = 3) -> Lettering:
    """The lettering that ``text``, a lettering file, describes.  Raises LetteringError."""
    return replace(lettering_from(parse_toml(text.encode(), name, LetteringError), size, name), name=name)


def letters_for(chosen: Method, name: str | None) -> Lettering:
    """The lettering called ``name``, the method's own if None.  Errors as for ``lettering``."""
    return lettering(chosen.lettering if name is None else name, chosen.size)


def about(kind: Kind, name: str) -> tuple[str, str]:
    """The title and the description in a file; where it cannot be used, why not."""
    try:
        data: dict[str, Any] = parse_toml(source(kind, name).encode(), name, kind.error)
        if kind is METHODS:
            method(name)
        else:
            lettering(name)
    except NightfoldError as trouble:
        return name, f"cannot be used: {trouble}"
    title, said = data.get("title", name), data.get("about", "")
    return title if isinstance(title, str) else shown(title), said.strip() if isinstance(said, str) else ""


# --- keeping -------------------------------------------------------------------------------------------------


def save(kind: Kind, name: str, text: str) -> None:
    """Keep a method or lettering of a person's own under ``name``; ``text`` must have been checked.

    A file of that name that is there but cannot be read is set aside first.  Raises WebError for a name that cannot be
    one, NameTakenError for one that comes along, StoringError when the disk refuses.
    """
    check_name(kind, name)
    path = _own_file(kind, name)
    if path.exists() and not _readable(kind, name):
        set_aside(path, "damaged")
    write(path, text)


def _readable(kind: Kind, name: str) -> bool:
    try:
        parse_toml(source(kind, name).encode(), name, kind.error)
    except NightfoldError:
        return False
    return True


def remove(kind: Kind, name: str) -> None:
    """Set a person's own method or lettering aside.

    Raises UnknownNameError when there is none, NameTakenError for one that comes along, StoringError.
    """
    if name in kind.shipped():
        raise NameTakenError(f"the {kind.word} “{name}” comes along with Nightfold and cannot be removed")
    if not is_own(kind, name):
        known = ", ".join(own_names(kind)) or "none yet"
        raise UnknownNameError(f"there is no {kind.word} “{name[:40]}” of your own; there are: {known}")
    set_aside(_own_file(kind, name), "removed")


def check_name(kind: Kind, name: str) -> None:
    """Raise WebError unless something of a person's own may be kept under ``name``."""
    if name in kind.shipped():
        raise NameTakenError(f"the {kind.word} “{name}” comes along with Nightfold; choose another name for your own")
    if not _usable(name):
        raise WebError(
            f"“{name[:40]}” cannot name a {kind.word}; a name is 1 to 40 small letters a to z, digits and hyphens, "
            "and begins with a letter or digit"
        )
