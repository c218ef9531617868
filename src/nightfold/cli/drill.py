"""``nightfold drill``: questions of one exercise, answered line by line, each judged with a sentence."""

from __future__ import annotations

import random
import secrets
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from nightfold.blind.method import DEFAULT as DEFAULT_METHOD
from nightfold.cli.common import (
    LAMP,
    QUIET,
    HoldOption,
    JsonOption,
    LetteringOption,
    MethodOption,
    SolverOption,
    console,
    print_hanging,
    print_json,
    visible,
)
from nightfold.cli.words import OwnOption, words_of_file
from nightfold.cube.errors import NightfoldError

if TYPE_CHECKING:
    from rich.console import Console

    from nightfold.practice.drills import Exercise, Question, Table
    from nightfold.practice.keeper import Answered, Keeper
    from nightfold.practice.sitting import Sitting, Times

#: Said once before a long practice.
CAUTION = (
    "Sit down at a clear table. Give hands and eyes five minutes' rest in every half hour, and stop when anything "
    "begins to hurt."
)
_MOST_COUNT = 500
#: How questions came to an end: all were asked, the time was over, no more was typed, or Ctrl-C broke them off.
Ending = Literal["through", "late", "silent", "stopped"]
#: Words for the lines of an answer and what is put before each.
_FORM_HINTS = {
    "letter": "letter",
    "sticker": "sticker",
    "letters": "letters",
    "turns": "turns",
    "yes-no": "yes or no",
    "pieces": "pieces",
    "word": "word",
}

SeedOption = Annotated[
    int | None, typer.Option("--seed", metavar="S", help="The same seed asks the same questions again.")
]
UnkeptOption = Annotated[
    bool, typer.Option("--unkept", metavar="", help="Keep nothing of it, and look at nothing that was kept.")
]


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("drill")(drill)


def drill(
    exercise: Annotated[
        str | None, typer.Argument(metavar="EXERCISE", help="What to drill; all exercises are listed without it.")
    ] = None,
    count: Annotated[int | None, typer.Option("--count", metavar="N", help="How many questions.")] = None,
    minutes: Annotated[
        float | None, typer.Option("--minutes", metavar="M", help="Ask no more once so many minutes are over.")
    ] = None,
    orbit: Annotated[
        str | None, typer.Option("--orbit", metavar="NAME", help="Keep to the edges or to the corners.")
    ] = None,
    level: Annotated[
        int | None, typer.Option("--level", metavar="N", help="How hard; if not given it follows your answers.")
    ] = None,
    shown: Annotated[
        float | None, typer.Option("--shown", metavar="SECONDS", help="How long a memo to hold is shown; 0 is freely.")
    ] = None,
    delay: Annotated[
        float | None, typer.Option("--delay", metavar="SECONDS", help="How long after that it is asked for.")
    ] = None,
    method: MethodOption = DEFAULT_METHOD,
    lettering: LetteringOption = None,
    hold: HoldOption = None,
    own: OwnOption = None,
    solver: SolverOption = "",
    unkept: UnkeptOption = False,
    seed: SeedOption = None,
    as_json: JsonOption = False,
) -> None:
    """Drill one thing: answer line by line, "?" where you do not know; each answer is judged with a sentence."""
    from nightfold.practice import drills

    if exercise is None:
        _list(as_json)
        return
    from nightfold.practice.sitting import Sitting

    chosen = drills.exercise(exercise)
    if count is not None and not 1 <= count <= _MOST_COUNT:
        raise NightfoldError(f"--count is {count}; 1 to {_MOST_COUNT} questions can be asked")
    if minutes is not None and not 0 < minutes <= 240:
        raise NightfoldError(f"--minutes is {minutes:g}; up to 240 minutes can be practised")
    if chosen.name != "hold-memo" and (shown is not None or delay is not None):
        raise NightfoldError(f"--shown and --delay are for hold-memo; {chosen.name} has neither")
    from nightfold.practice.agenda import LONG_SECONDS, usual_seconds
    from nightfold.practice.drills.holding import fits_times, timed

    chosen_times = shown is not None or delay is not None

    def change(question: Question) -> Question:
        return timed(question, shown, delay) if chosen_times else question

    def fits(subject: str) -> bool:
        return not chosen_times or fits_times(subject, shown, delay)

    face = Face(as_json)
    with keeping(face, solver, unkept) as keeper:
        table = table_with_words(keeper, method, lettering, hold, own)
        sitting = Sitting(table, chosen, keeper, dice(seed), orbit=orbit, level=level, fits=fits)
        most = count or (_MOST_COUNT if minutes else 20)
        seconds = 60 * minutes if minutes else None
        if min(most * usual_seconds(chosen, keeper), seconds or LONG_SECONDS) >= LONG_SECONDS:
            face.caution()
        ending = run_through(sitting, face, most, seconds, change)
    if ending == "late":
        face.out.print(f"{in_minutes(minutes or 0)} over")
    if as_json:
        answers = [answered.to_dict() for answered in sitting.answers]
        data = {"exercise": chosen.name, "asked": len(answers), "right": sitting.right, "answers": answers}
        print_json(data)
    else:
        face.summary(sitting.answers)
    if ending == "stopped":
        raise typer.Exit(130)


@contextmanager
def keeping(face: Face, solver: str, unkept: bool) -> Iterator[Keeper]:
    """Where answers are kept: in the logbook, or nowhere if they are not to be."""
    if unkept:
        from nightfold.practice.keeper import Forgetful

        yield Forgetful()
        return
    from nightfold.practice.kept import LogbookKeeper
    from nightfold.practice.logbook import Logbook

    with Logbook.open() as book:
        for warning in book.warnings:
            print_hanging(face.out, warning, "", "")
        yield LogbookKeeper(book, solver)


def table_with_words(keeper: Keeper, method: str, lettering: str | None, hold: str | None, own: str | None) -> Table:
    """The table to drill at: the words that are kept, and before them those of a file."""
    from nightfold.practice.drills import Table

    words = dict(keeper.words())
    for pair, some in words_of_file(own).items():
        told = [word.word for word in some]
        words[pair] = tuple(dict.fromkeys([*told, *words.get(pair, ())]))
    return Table.laid(method, lettering, hold, words)


def run_through(
    sitting: Sitting,
    face: Face,
    most: int,
    seconds: float | None = None,
    change: Callable[[Question], Question] | None = None,
) -> Ending:
    """A run of questions from its beginning to its end, kept as such; and how it ended."""
    minutes = seconds / 60 if seconds else None
    settings = {"count": most, "minutes": minutes, "level": sitting.level, "method": sitting.table.method.name}
    sitting.keeper.start(sitting.exercise.name, settings, sitting.clock())
    try:
        return practise(sitting, face, most, seconds, change)
    finally:
        sitting.keeper.stop(sitting.right, len(sitting.answers), sitting.clock())


def in_minutes(minutes: float) -> str:
    """``the 20 minutes are``, or of one, ``the minute is``."""
    return "the minute is" if minutes == 1 else f"the {minutes:g} minutes are"


def dice(seed: int | None) -> random.Random:
    """Dice that fall the same for the same seed, and by chance for none."""
    return random.Random(seed) if seed is not None else secrets.SystemRandom()


def _list(as_json: bool) -> None:
    """All exercises, what each is about and how many levels it has."""
    from nightfold.practice.drills import EXERCISES

    if as_json:
        keys = ("name", "title", "about", "most_level")
        print_json({"exercises": [{key: getattr(one, key) for key in keys} for one in EXERCISES.values()]})
        return
    from rich.text import Text

    out = console()
    width = max(map(len, EXERCISES))
    for one in EXERCISES.values():
        print_hanging(out, Text.assemble((one.name.ljust(width), LAMP), "  ", one.about), "  ", " " * (width + 4))


# --- asking and answering ----------------------------------------------------------------------------------------


@dataclass(slots=True)
class Face:
    """The terminal as an exercise sees it: where questions are printed, answers typed, and time passes.

    ``live`` tells that someone sits there: then times are measured, and what is to be remembered is taken away again.
    Where answers are piped in, nobody waits and nothing is measured.
    """

    aside: bool = False
    out: Console = field(init=False)
    live: bool = field(init=False)
    sleep: Callable[[float], None] = time.sleep
    watch: Callable[[], float] = time.perf_counter

    def __post_init__(self) -> None:
        if self.aside:
            from rich.console import Console

            self.out = Console(stderr=True, highlight=False, soft_wrap=False, emoji=False, markup=False)
        else:
            self.out = console()
        self.live = sys.stdin is not None and sys.stdin.isatty() and self.out.is_terminal

    def caution(self) -> None:
        """The usual words before a long practice."""
        print_hanging(self.out, CAUTION, "", "")
        self.out.print()

    def line(self, label: str) -> str | None:
        """A typed line; None where there are no more."""
        if sys.stdin is None:
            return None
        self.out.print(f"  {label}: ", end="")
        try:
            text = sys.stdin.readline()
        except UnicodeDecodeError:
            raise NightfoldError("the answers are not text (UTF-8)") from None
        if not self.live:
            self.out.print(visible(text.rstrip("\r\n")))  # what was piped in stands there as if it had been typed
        return text.rstrip("\r\n") if text else None

    def answer(self, question: Question, exercise: Exercise, table: Table) -> str | None:
        """The answer to a question, all its parts; None where there are no more lines.

        An empty line is asked for again, since Enter is easily pressed once too often.  Who does not know a part is not
        asked for those after it.
        """
        lines: list[str] = []
        parts = question.parts or (_FORM_HINTS[question.form],)
        while len(lines) < len(parts):
            line = self.line(parts[len(lines)])
            if line is None:
                return None
            if not line.strip():
                print_hanging(self.out, exercise.asks_for_more(question, len(lines)))
                continue
            lines.append(line)
            if exercise.gives_up(table, line):
                lines += [line] * (len(parts) - len(lines))
        return "\n".join(lines)

    def show(self, question: Question, number: int, title: str, note: str = "") -> float:
        """Print a question; what is shown for a time only is gone again afterwards, where someone is looking.

        Returns the moment from which on the answer is waited for.
        """
        from rich.text import Text

        self.out.print(Text.assemble((f"{number}  ", LAMP), (f"{title}, level {question.level}", QUIET)))
        print_hanging(self.out, question.prompt)
        if note and self.live:
            print_hanging(self.out, Text(note, style=QUIET))
        if self.live and question.seconds:
            self.line("it is not shown for long; press Enter to see it")
        shown = self.watch()
        if question.scramble and not question.lit:
            turns = f"{question.scramble}{f', then {question.hold}' if question.hold else ''}"
            print_hanging(self.out, Text(f"scramble  {turns}", style=QUIET), "  ", " " * 12)
        for text in (*question.show, *([" ".join(question.letters)] if question.letters else [])):
            print_hanging(self.out, Text(text, style=LAMP))
        if question.net:
            self._cube(question)
        if self.live and (question.show or question.seconds):
            self._take_away(question)
        return self.watch() if question.show else shown

    def _cube(self, question: Question) -> None:
        from nightfold.cli.terminal_net import print_net
        from nightfold.cube.geometry import geometry
        from nightfold.cube.state import Cube

        marks = ("?", "*")
        labels = {geometry(3).sticker(name): mark for name, mark in zip(question.lit, marks, strict=False)}
        print_net(self.out, Cube.from_turns(question.scramble).apply(question.hold), labels)

    def _take_away(self, question: Question) -> None:
        """Wait as long as it is shown, clear the screen, and wait until it is asked for."""
        if question.seconds:
            self.sleep(question.seconds)
        else:
            self.line("press Enter when you have it")
        self.out.clear()
        if question.delay:
            self.out.print(f"  {question.delay:g} s …", style=QUIET)
            self.sleep(question.delay)
        if question.show:
            _forget_typed()  # nobody writes a memo down while it is shown, and no impatient Enter answers it
        print_hanging(self.out, question.prompt)

    def verdict(self, answered: Answered, compared: str = "") -> None:
        """Print how an answer was judged."""
        from rich.text import Text

        marked = answered.marked
        word = ("right", "bold green") if marked.right else ("wrong", "bold red")
        took = f"  {answered.ms / 1000:.1f} s{compared}" if answered.ms is not None else ""
        print_hanging(self.out, Text.assemble(word, (took, QUIET), "  ", marked.say), "  ", "         ")
        self.out.print()

    def summary(self, answers: list[Answered]) -> None:
        """Print how it went."""
        if not answers:
            self.out.print("nothing was answered")
            return
        right = sum(answered.marked.right for answered in answers)
        times = sorted(answered.ms for answered in answers if answered.ms is not None)
        took = f", {times[len(times) // 2] / 1000:.1f} s an answer" if times else ""
        self.out.print(f"{right} of {len(answers)} right{took}")


def _forget_typed() -> None:
    """Throw away what was typed at the terminal and not yet read."""
    with suppress(ImportError, OSError, ValueError):
        import termios

        with suppress(termios.error):
            termios.tcflush(sys.stdin, termios.TCIFLUSH)


def practise(
    sitting: Sitting,
    face: Face,
    most: int,
    seconds: float | None = None,
    change: Callable[[Question], Question] | None = None,
) -> Ending:
    """Ask at most ``most`` questions, and no more once so many seconds are over; and how it ended."""
    end = face.watch() + seconds if seconds else None
    try:
        for number in range(1, most + 1):
            if end is not None and face.watch() >= end:
                return "late"
            question = sitting.next()
            question = change(question) if change else question
            times = sitting.times_at(question.subject)
            since = face.show(question, number, sitting.exercise.title, _times_before(sitting, times))
            if not _answered(sitting, face, question, since, times):
                return "silent"
    except EOFError:
        return "silent"
    except KeyboardInterrupt:
        face.out.print()
        return "stopped"
    return "through"


def _times_before(sitting: Sitting, times: Times | None) -> str:
    """What one's times were so far, where the clock is part of the exercise."""
    if not sitting.exercise.against_clock:
        return ""
    if times is None:
        return "The clock runs; the first right answer sets your record."
    return f"The clock runs; right answers took you {times.usual:.1f} s a letter, at best {times.best:.1f} s."


def _compared(answered: Answered, times: Times | None) -> str:
    """How a time compares with those before."""
    if not answered.marked.right or answered.ms_a_letter is None:
        return ""
    pace = answered.ms_a_letter / 1000
    best = ", your best so far" if times is None or pace < times.best else ""
    return f", {pace:.1f} s a letter{best}"


def _answered(sitting: Sitting, face: Face, question: Question, since: float, times: Times | None) -> bool:
    """Have a question answered, again where the answer cannot be read; False where there are no more lines."""
    from nightfold.practice.errors import LogbookError, StoringError

    while True:
        given = face.answer(question, sitting.exercise, sitting.table)
        if given is None:
            face.out.print()
            return False
        ms = round(1000 * (face.watch() - since)) if face.live else None
        try:
            answered = sitting.answer(question, given, ms)
        except (LogbookError, StoringError):
            raise  # the answer is well, but it cannot be kept
        except NightfoldError as trouble:
            print_hanging(face.out, f"{visible(str(trouble))}; try again")
            continue
        face.verdict(answered, _compared(answered, times) if sitting.exercise.against_clock else "")
        return True
