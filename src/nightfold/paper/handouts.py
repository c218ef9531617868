"""The kinds of handouts: one table, from which the terminal and whatever else prints them take their options."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nightfold.blind.features import MEANINGS
from nightfold.paper.press import MARK, PLAIN, Look, PaperError

if TYPE_CHECKING:
    from nightfold.paper.subject import Subject

#: What stands for the value of a feature that is not a number.
_FEATURE_VALUES = {"parity": "yes|no", "edge_buffer": "home|turned|away", "corner_buffer": "home|turned|away"}
#: The longest name a file is given here, its ending not counted, in bytes: systems take 255 in all.
_LONGEST_NAME = 150
#: No file that was written here is so large.
_LARGEST = 100_000_000
#: How files begin that a mark within tells to be ours, and the endings of those that are sealed with a last line.
_HEADS = (b"%PDF", b"GIF8", b"\x89PNG")
_SEALED = (".md", ".html", ".svg")


@dataclass(frozen=True, slots=True)
class Choice:
    """An option of one kind: its name as a Python parameter, what it does, and its value where none is given.

    The default tells its type: ``False`` for a switch, a number, or None for text.  ``metavar`` stands for the value
    where options are listed; a switch has none.  ``file`` marks the path of a file, which only the person at this
    machine may name.
    """

    name: str
    about: str
    default: bool | int | None = False
    metavar: str = ""
    file: bool = False

    @property
    def option(self) -> str:
        """How it is written in the terminal: ``--pocket``."""
        return "--" + self.name.replace("_", "-")

    def words(self, value: Any) -> list[str]:
        """The words of a command that choose ``value``, none for the default."""
        if value == self.default:
            return []
        return [self.option] if self.default is False else [self.option, str(value)]


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of handout.

    ``press`` names the function, as ``module.function`` in this package, that gets the subject, the look and the kind's
    own choices by name, and returns the PDF; its module is loaded when it is first wanted.  ``forms`` name, by the
    endings of files, functions that write it otherwise: they also get the file's name without its ending, after the
    look, and return ``Written``.
    """

    name: str
    about: str
    press: str
    choices: tuple[Choice, ...] = ()
    forms: Mapping[str, str] = field(default_factory=dict)

    @property
    def make(self) -> Callable[..., bytes]:
        """The function that prints it."""
        made: Callable[..., bytes] = _function(self.press)
        return made


@dataclass(frozen=True, slots=True)
class Written:
    """A handout as files by their names, the main one first; ``said`` is what there is to tell of them, if anything."""

    files: Mapping[str, bytes]
    said: str = ""


def _function(name: str) -> Any:
    module, function = name.split(".")
    return getattr(import_module(f"{__package__}.{module}"), function)


KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind(
            "setups",
            "How every letter is set up, swapped and undone, and which turns are free for that.",
            "setups.press_setups",
            (Choice("pocket", "A card to cut out and fold for the pocket, every letter with its setup."),),
        ),
        Kind(
            "lettering",
            "Which letter stands for which sticker: the unfolded cube, and the cube from the front and from behind.",
            "lettering_pages.press_lettering",
            (
                Choice("blank", "Without letters, to fill in your own."),
                Choice("cards", "Flash cards to cut out: print on both sides, turned at the long edge."),
            ),
        ),
        Kind("leaflet", "A first evening for a beginner, the method told in two pages.", "leaflet.press_leaflet"),
        Kind(
            "exercises",
            "Exercise sheets for a class, each with cubes of its own that get harder, and the answer key to them.",
            "exercises.press_exercises",
            (
                Choice("learners", "How many sheets, or the names they are for with commas.", None, "N|NAMES"),
                Choice("cubes", "Cubes on each sheet.", 4, "N"),
                Choice("seed", "The same seed deals the same sheets again.", None, "S"),
                Choice("key", "The answer key to the sheets of the same seed."),
                *(Choice(name, about, None, _FEATURE_VALUES.get(name, "N|A..B")) for name, about in MEANINGS.items()),
                Choice("use", "Letters that must be there, as in edges=K Q;corners=B.", None, "LETTERS"),
                Choice("avoid", "Letters that must not be there.", None, "LETTERS"),
                Choice("most_turns", "The plan takes at most so many turns.", None, "N"),
            ),
        ),
        Kind(
            "attempts",
            "Attempt cards for a club evening: scrambles with pictures, times, penalties, results by the rules.",
            "attempt_cards.press_attempts",
            (
                Choice(
                    "competitors", "How many cards a round, or the names they are for with commas.", None, "N|NAMES"
                ),
                Choice("rounds", "Rounds, each with scrambles of its own.", 1, "N"),
                Choice("seed", "The same seed deals the same scrambles again.", None, "S"),
                Choice("size", "How many layers the cube has.", 3, "2..7"),
            ),
        ),
        Kind(
            "example",
            "A cube solved from the first look to the last turn, each letter and each step told and drawn; also as "
            "text with pictures (.md), as a page for screens (.html), or moving (.gif, .apng).",
            "example.press_example",
            (
                Choice("scramble", "The cube that is solved; dealt if not given.", None, "TURNS"),
                Choice("seed", "The same seed deals the same cube again.", None, "S"),
                Choice("breaks", "Where to break, as in nightfold plan; or words.", None, "POLICY"),
                Choice(
                    "own", "Words of your own, which come first; columns pair, word, …", None, "FILE.csv", file=True
                ),
                Choice("solver", "Whose words from the logbook; your own if not given.", None, "NAME"),
                Choice("language", "The language of the words (by the letters).", None, "CODE"),
                Choice("limit", "What moves is at most so many megabytes.", 5, "MB"),
            ),
            {
                ".md": "example_text.markdown_example",
                ".html": "example_text.html_example",
                ".gif": "animation.gif_example",
                ".apng": "animation.apng_example",
            },
        ),
        Kind(
            "pairs",
            "Your own words for letter pairs as a grid, with room for those to come.",
            "pair_pages.press_kept_pairs",
            (
                Choice("cards", "Cards to cut out, pair and word: print on both sides, turned at the long edge."),
                Choice("suggest", "Suggestions, marked as such, where you have no word."),
                Choice("solver", "Whose words they are; your own if not given.", None, "NAME"),
                Choice("language", "The language of the words (by the letters).", None, "CODE"),
            ),
        ),
    )
}


def kind_of(name: str) -> Kind:
    """The kind called ``name``.  Raises PaperError for one that there is not."""
    if name not in KINDS:
        raise PaperError(f"“{name[:40]}” is no kind of handout; kinds are {', '.join(KINDS)}")
    return KINDS[name]


def handout(name: str, subject: Subject, look: Look = PLAIN, **choices: Any) -> bytes:
    """The handout of the kind called ``name`` as PDF.

    Raises NightfoldError for a kind or a choice that there is not, or what cannot be printed.
    """
    kind = kind_of(name)
    _check_choices(kind, choices)
    return kind.make(subject, look, **choices)


def written(name: str, subject: Subject, path: Path, look: Look = PLAIN, **choices: Any) -> Written:
    """The handout of the kind called ``name`` in the form that the ending of ``path`` asks for, PDF if for none.

    Raises NightfoldError as ``handout`` does, and for a form that another kind has but not this one.
    """
    kind, ending = kind_of(name), path.suffix.lower()
    if ending not in kind.forms:
        if any(ending in other.forms for other in KINDS.values()):
            raise PaperError(f"{name} can be written as {', '.join(('.pdf', *kind.forms))}, not as {ending}")
        return Written({path.name: handout(name, subject, look, **choices)})
    _check_choices(kind, choices)
    made: Written = _function(kind.forms[ending])(subject, look, path.stem, **choices)
    files = iter(made.files.items())
    # The ending is kept as it was typed.
    return Written({path.name: next(files)[1], **dict(files)}, made.said)


def _check_choices(kind: Kind, choices: Mapping[str, Any]) -> None:
    known = [choice.name for choice in kind.choices]
    for choice in choices:
        if choice not in known:
            raise PaperError(
                f"“{choice[:40]}” is no choice for {kind.name}; {'choices are ' if known else 'it has none'}"
                f"{', '.join(known)}"
            )


def file_name(name: str, subject: Subject, look: Look, **choices: Any) -> str:
    """A name for the file that tells what is in it: ``nightfold-setups-two-swap-clockwise-a4.pdf``."""
    chosen = [
        word for choice in kind_of(name).choices for word in choice.words(choices.get(choice.name, choice.default))
    ]
    parts = ["nightfold", name, *chosen, subject.method.name, subject.letters.name, look.paper]
    parts += ["grey"] * look.grey + ["large"] * look.large
    told = re.sub(r"[^\w.]+", "-", "-".join(parts)).strip("-.")
    return told.encode()[:_LONGEST_NAME].decode(errors="ignore") + ".pdf"


def save_all(made: Written, path: Path) -> None:
    """Put the files of a handout in their places, the main one at ``path`` and last.

    Whatever stands in the way is replaced if it is a handout, or a picture of one, that nobody has changed since.
    Raises PaperError, before anything is written, where a path cannot be written or holds something else.
    """
    if not path.parent.is_dir():
        raise PaperError(f"there is no folder “{str(path.parent)[:200]}”; make it first, or choose another")
    places = {path.parent / name: data for name, data in made.files.items()}
    for place in places:
        with _telling(place):
            _check_place(place)
    for place, data in reversed(places.items()):
        with _telling(place):
            place.parent.mkdir(exist_ok=True)
            put(data + _seal(data) if place.suffix.lower() in _SEALED else data, place)


def _check_place(path: Path) -> None:
    shown = str(path)[:200]
    if path.is_dir():
        raise PaperError(f"“{shown}” is a folder; give the name of a file in it")
    if path.parent.exists() and not path.parent.is_dir():
        raise PaperError(f"“{str(path.parent)[:200]}” is no folder, so the pictures cannot lie there")
    if path.exists() and not _is_handout(path):
        raise PaperError(f"“{shown}” is there already and is no handout; choose another name, or remove it first")


@contextmanager
def _telling(path: Path) -> Iterator[None]:
    """What the machine complains of while a path is looked at or written, in a sentence."""
    try:
        yield
    except PaperError:
        raise
    except (OSError, ValueError) as trouble:
        reason = getattr(trouble, "strerror", None) or "not a usable path"
        raise PaperError(f"“{str(path)[:200]}” cannot be written: {reason}") from None


def put(data: bytes, path: Path) -> None:
    """Put a file in its place, whole or not at all.  Raises OSError, or ValueError for a path that is none."""
    part = path.with_name(f".{path.name[:60]}.{os.getpid()}.part")
    try:
        with part.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)


def _seal(data: bytes) -> bytes:
    """The last line of a text written here: it tells whether anyone has changed the text since."""
    return f"<!-- {MARK} {hashlib.sha256(data).hexdigest()[:32]} -->\n".encode()


def _is_handout(path: Path) -> bool:
    """Whether a file was written here and, if it is text, not changed since; an empty one may be written over too."""
    data = path.read_bytes() if path.is_file() and path.stat().st_size < _LARGEST else b"?"
    if not data or (data.startswith(_HEADS) and MARK.encode() in data):
        return True
    text, mark, _ = data.rpartition(f"<!-- {MARK} ".encode())
    return bool(mark) and data == text + _seal(text)
