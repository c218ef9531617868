"""``nightfold inquest``: find out which mistakes explain the cube that came out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from nightfold.blind.method import DEFAULT as DEFAULT_METHOD
from nightfold.blind.plan import make_plan
from nightfold.cli.common import (
    LAMP,
    QUIET,
    FinalOption,
    HoldOption,
    JsonOption,
    LeftOption,
    LetteringOption,
    MeantCornersOption,
    MeantEdgesOption,
    MethodOption,
    SolverOption,
    console,
    pairs,
    print_hanging,
    print_json,
    read_text,
)
from nightfold.cube.errors import NightfoldError
from nightfold.cube.notation import write

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rich.console import Console
    from rich.text import Text

    from nightfold.coach.inquest import Explanation, Mistake, Verdict

#: Outcomes that leave nothing to explain, as they are told.
_KEPT_AS = {
    "solved": "solved",
    "plus2": "solved but for one turn",
    "dns": "one that was not begun",
    "unfinished": "not judged yet",
}
#: How far what is said stands from the edge.
_INDENT = " " * 10
#: An explanation at least so likely is told with what was felt and what to practise, like the first.
_WORTH_WORDS = 0.01
#: So many other ways to say the same are shown.
_MOST_ALIKE = 2


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("inquest")(inquest)


def _number(text: str) -> int:
    """A whole number; which ones are possible the inquest itself says."""
    text = str(text).strip()  # a default comes here as a number
    if not (text.lstrip("-").isascii() and text.lstrip("-").isdigit() and len(text) < 10):
        raise typer.BadParameter(f"“{text[:24]}” is no whole number")
    return int(text)


def inquest(
    scramble: Annotated[
        str | None, typer.Argument(metavar="SCRAMBLE", help="The scramble in quotes; or give --attempt.")
    ] = None,
    attempt: Annotated[
        str | None,
        typer.Option(
            "--attempt",
            metavar="WHICH",
            help="An attempt of the logbook, which keeps what is found: last, a day, 2026-03-05/2, an id.",
        ),
    ] = None,
    cube: Annotated[
        int | None, typer.Option("--cube", metavar="N", help="Which of its cubes, if it was at many.")
    ] = None,
    solver: SolverOption = "",
    edges: MeantEdgesOption = None,
    corners: MeantCornersOption = None,
    final: FinalOption = None,
    left: LeftOption = None,
    performed: Annotated[
        str | None,
        typer.Option("--performed", metavar="TURNS", help="The turns that were really made, as seen in a recording."),
    ] = None,
    mistakes: Annotated[
        int, typer.Option("--mistakes", metavar="1..3", parser=_number, help="How many mistakes are combined at most.")
    ] = 3,
    top: Annotated[
        int, typer.Option("--top", metavar="N", parser=_number, help="How many explanations are shown.")
    ] = 5,
    method: MethodOption = DEFAULT_METHOD,
    lettering: LetteringOption = None,
    hold: HoldOption = None,
    as_json: JsonOption = False,
) -> None:
    """Find out what went wrong: the mistakes, in memory or in turning, that lead to the cube that came out."""
    told = sum(given is not None for given in (final, left, performed))
    memos = {name: memo for name, memo in (("edges", edges), ("corners", corners)) if memo is not None}
    if attempt is not None:
        if scramble is not None or method != DEFAULT_METHOD or lettering is not None or hold is not None:
            raise NightfoldError(
                "the logbook knows scramble, method, lettering and hold of that attempt; leave them out"
            )
        if told > 1:
            raise NightfoldError("say what came out in one way: --final, --left or --performed")
        net = None if final is None else read_text(final, "net")
        out = {"final": net, "left": left, "performed": performed}
        verdict, memos = _into_kept(attempt, cube, solver, memos, out, mistakes, top)
        if as_json:
            print_json(verdict.to_dict())
        else:
            print_verdict(console(), verdict, memos)
        return
    if cube is not None or solver:
        raise NightfoldError("--cube and --solver are about an attempt of the logbook; say which with --attempt")
    if scramble is None:
        raise NightfoldError("give the scramble in quotes, or an attempt of the logbook, as in --attempt last")
    if told != 1:
        raise NightfoldError(
            "say what came out in one way: --final with the net of the cube, --left with turns that would still solve "
            "it, or --performed with the turns that were made"
        )
    from nightfold.coach.attempt import examine_attempt

    verdict = examine_attempt(
        make_plan(scramble, method, lettering, hold),
        memos,
        final=None if final is None else read_text(final, "net"),
        left=left,
        performed=performed,
        mistakes=mistakes,
        top=top,
    )
    if as_json:
        print_json(verdict.to_dict())
        return
    print_verdict(console(), verdict, memos)


def _into_kept(
    called: str,
    number: int | None,
    solver: str,
    memos: dict[str, str],
    came_out: Mapping[str, str | None],
    mistakes: int,
    top: int,
) -> tuple[Verdict, dict[str, str]]:
    """The inquest into an attempt of the logbook, kept there; and the memos that it went by."""
    from nightfold.practice.attempts import plan_of
    from nightfold.practice.choosing import choose_attempt, choose_cube
    from nightfold.practice.examining import examine
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.results import Outcome

    with Logbook.open() as book:
        found = choose_attempt(book, called, solver)
        cube = choose_cube(book, found, number)
        known = cube or found
        if known.outcome is not Outcome.DNF:
            which = "that attempt" if cube is None else f"cube {cube.number} of that attempt"
            raise NightfoldError(
                f"{which} is {_KEPT_AS[known.outcome]}, so there is nothing to explain; if it failed, say so first: "
                "nightfold attempt --judge last --outcome dnf"
            )
        if not any(came_out.values()) and known.final is None:
            raise NightfoldError(
                "the logbook does not know yet what came out of it; say it with --left and turns that would still "
                "solve the cube, --final and its net, or --performed and the turns that were made"
            )
        given = {**known.memo, **memos}
        verdict = examine(
            book, found, plan_of(found, cube), cube=cube, memo=given or None, mistakes=mistakes, top=top, **came_out
        )
    return verdict, given


def print_verdict(out: Console, verdict: Verdict, memos: Mapping[str, str]) -> None:
    """Print what an inquest found; ``memos`` are those that were given."""
    _meant(out, verdict, memos)
    if verdict.say:
        out.print()
        print_hanging(out, verdict.say, "", "")
    _memo_faults(out, verdict)
    if verdict.performed is not None:
        _departures(out, verdict)
    else:
        _explanations(out, verdict)
    _foot(out, verdict)


def _hang(out: Console, lead: Text | str, text: Text | str, indent: str = _INDENT) -> None:
    """Print text behind a lead, wrapped at the terminal's width, the further lines indented as far."""
    from rich.text import Text

    lead = Text(lead) if isinstance(lead, str) else lead
    body = Text(text) if isinstance(text, str) else text
    lead.append(" " * (len(indent) - len(lead)))
    for number, line in enumerate(body.wrap(out, max(8, out.width - len(indent)))):
        line.rstrip()
        out.print((lead if number == 0 else Text(indent)).append_text(line))


def _meant(out: Console, verdict: Verdict, memos: Mapping[str, str]) -> None:
    from rich.text import Text

    for reading in verdict.plan.orbits:
        name = reading.orbit.name
        source = "as given" if name in memos else "as Nightfold reads the cube"
        if verdict.performed is not None and name not in memos:
            source = "as the turns follow it"
        memo = pairs(cycle.letters for cycle in reading.cycles) or "nothing"
        _hang(out, Text(name.upper(), style="bold"), Text.assemble((memo, LAMP), (f"   {source}", QUIET)))


def _memo_faults(out: Console, verdict: Verdict) -> None:
    from rich.text import Text

    for marked in verdict.marking.orbits if verdict.marking is not None else ():
        for fault in marked.faults:
            _hang(out, Text(f"  {marked.orbit.name}", style=QUIET), fault.say)


def _explanations(out: Console, verdict: Verdict) -> None:
    from rich.text import Text

    shown = [one for one in verdict.explanations if one.mistakes or one.repair]
    if not shown:
        return
    out.print()
    out.print(Text("WHAT HAPPENED", style="bold"))
    for number, one in enumerate(shown, 1):
        lead = Text.assemble((f"{number:>2} ", QUIET), (f"{_percent(one.probability):>6}", LAMP))
        lines = [Text(f"if the {name} memo was {pairs([letters])}:") for name, letters in one.memo.items()]
        lines += [Text(f"if it is first put right ({one.repair}):")] if one.repair else []
        likely = number == 1 or one.probability >= _WORTH_WORDS
        if likely and number > 1:
            out.print()
        for line in lines:
            _hang(out, lead, line)
            lead = Text()
        if not one.mistakes:
            _hang(out, lead, Text("everything was turned as meant", style="bold"))
        for mistake in one.mistakes:
            _mistake(out, lead, mistake, likely)
            lead = Text()
        if likely:
            _alike(out, one)


def _mistake(out: Console, lead: Text, mistake: Mistake, in_full: bool) -> None:
    from rich.text import Text

    _hang(out, lead, Text(mistake.say, style="bold" if in_full else ""))
    if in_full:
        _detail(out, "felt", mistake.felt)
        _detail(out, "practise", mistake.hint)


def _detail(out: Console, word: str, said: str, style: str = "") -> None:
    from rich.text import Text

    _hang(out, Text(f"{_INDENT}{word}", style=QUIET), Text(said, style=style), _INDENT * 2)


def _alike(out: Console, one: Explanation) -> None:
    shown = len(one.also) if len(one.also) <= _MOST_ALIKE + 1 and not one.many_more else _MOST_ALIKE
    for words in one.also[:shown]:
        _detail(out, "or", words, QUIET)
    if (more := len(one.also) - shown) > 0:
        plus = " or more" if one.many_more else ""
        _detail(out, "or", f"one of {more}{plus} other ways to the same at the same place", QUIET)
    if one.correction:
        _detail(out, "put right", write(one.correction))


def _departures(out: Console, verdict: Verdict) -> None:
    from rich.text import Text

    told = verdict.performed
    if told is None or not told.departures:
        return
    if (first := told.first) is not None:
        out.print()
        for word, turns in (("meant", first.meant), ("turned", first.turned)):
            _hang(out, Text(word, style=QUIET), write(turns) or "nothing")
    out.print()
    out.print(Text("WHAT HAPPENED", style="bold"))
    for number, mistake in enumerate(told.departures, 1):
        _mistake(out, Text(f"{number:>2}", style=QUIET), mistake, True)


def _foot(out: Console, verdict: Verdict) -> None:
    from rich.text import Text

    singles, doubles, triples = verdict.searched
    if verdict.finish or singles:
        out.print()
    if verdict.finish:
        count = f"({len(verdict.finish)} turn{'s' if len(verdict.finish) != 1 else ''})"
        after = " after that repair" if verdict.problem else ""
        said = Text.assemble(write(verdict.finish), (f"  {count} would have saved the cube{after}", QUIET))
        _hang(out, Text("FINISH", style="bold"), said)
    if not singles:
        return
    covered = [f"{_about(singles)} single mistakes"]
    covered += [f"{_about(doubles)} pairs"] if doubles else []
    covered += [f"{_about(triples)} triples"] if triples else []
    memos = f" over {verdict.memos_tried} right memos" if verdict.memos_tried > 1 else ""
    replayed = "; what is told was replayed on the cube" if verdict.explanations else ""
    _hang(out, Text("SEARCHED", style="bold"), Text(f"{', '.join(covered)}{memos}{replayed}", style=QUIET))


def _percent(share: float) -> str:
    if share >= 0.9995:
        return ">99.9%" if share < 1 else "100%"
    return "<0.1%" if share < 0.001 else f"{share * 100:.1f}%"


def _about(number: int) -> str:
    """``26,570``, ``289 million``, ``410 billion``."""
    for size, word in ((10**12, "trillion"), (10**9, "billion"), (10**6, "million")):
        if number >= size:
            shown = f"{number / size:.0f}" if number >= 10 * size else f"{number / size:.1f}"
            return f"{shown} {word}"
    return f"{number:,}"
