"""``nightfold words``: words for a letter pair, for a memo, and for all pairs that can occur."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from nightfold.blind.lettering import Lettering, load_lettering
from nightfold.blind.method import DEFAULT as DEFAULT_METHOD
from nightfold.blind.method import Method, load_method
from nightfold.cli.common import (
    LAMP,
    QUIET,
    JsonOption,
    LetteringOption,
    MethodOption,
    SolverOption,
    complain,
    console,
    print_hanging,
    print_json,
    read_text,
)
from nightfold.cube.errors import NightfoldError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console
    from rich.text import Text

    from nightfold.blind.plan import Plan
    from nightfold.blind.reading import Chooser
    from nightfold.memory.candidates import Finder
    from nightfold.memory.coverage import Coverage
    from nightfold.memory.own import OwnWord, OwnWords
    from nightfold.memory.phrases import Phrase
    from nightfold.memory.telling import Telling

#: How a state is shown in the grid, what it means, and its style.
_SIGNS = {
    "own": ("O", "a word of your own", "bold green"),
    "suggestion": ("+", "a suggestion", ""),
    "weak": ("~", "weak", "yellow"),
    "clashing": ("#", "clashing with another", "bold magenta"),
    "missing": ("-", "missing", "bold red"),
}
_MOST = 200

OwnOption = Annotated[
    str | None,
    typer.Option("--own", metavar="FILE.csv|-", help="Words of your own, which come first; columns pair, word, …"),
]
LanguageOption = Annotated[
    str | None,
    typer.Option("--language", metavar="CODE", help="The language of the words: en, de … (by the letters)."),
]


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("words")(words)


def words(
    pair: Annotated[str | None, typer.Argument(metavar="PAIR", help="A letter pair, as LS.")] = None,
    scramble: Annotated[
        str | None, typer.Option("--for", metavar="SCRAMBLE", help="The words of a whole memo, and phrases of them.")
    ] = None,
    grid: Annotated[bool, typer.Option("--grid", metavar="", help="What all pairs have, and what they lack.")] = False,
    phrases: Annotated[
        str | None,
        typer.Option(
            "--phrases",
            metavar="STYLE",
            help="person-action-object, story, route or sounds; or by orbit: edges=sounds;corners=story.",
        ),
    ] = None,
    route: Annotated[
        str | None, typer.Option("--route", metavar="PLACES", help="The places of a route: door, stove, lamp.")
    ] = None,
    own: OwnOption = None,
    language: LanguageOption = None,
    pattern: Annotated[
        str | None,
        typer.Option("--pattern", metavar="NAMES", help="opening, consonants, ends, sounds, two-words (all)."),
    ] = None,
    rule: Annotated[
        str | None, typer.Option("--rule", metavar="RULE", help="A rule of your own: starts {a}, then {b}.")
    ] = None,
    rude: Annotated[bool, typer.Option("--rude", metavar="", help="Let rude words through.")] = False,
    number: Annotated[int, typer.Option("--number", metavar="N", help="At most so many words for a pair.")] = 12,
    orbit: Annotated[
        str | None, typer.Option("--orbit", metavar="NAME", help="In the grid, one orbit alone: edges or corners.")
    ] = None,
    export: Annotated[
        str | None,
        typer.Option("--export", metavar="FILE.csv|-", help="Write a word for every pair to a file that --own reads."),
    ] = None,
    kept: Annotated[
        bool | None, typer.Option("--kept", metavar="", help="With --export: the words that you keep, and no others.")
    ] = None,
    take: Annotated[
        str | None,
        typer.Option(
            "--import", metavar="FILE.csv|-", help="Keep the words of such a file in the logbook, all or none."
        ),
    ] = None,
    dry_run: Annotated[
        bool | None, typer.Option("--dry-run", metavar="", help="With --import: only tell what would come of it.")
    ] = None,
    breaks: Annotated[
        str | None, typer.Option("--breaks", metavar="POLICY", help="For --for, as in nightfold plan; or words.")
    ] = None,
    add: Annotated[
        str | None, typer.Option("--add", metavar="WORD", help="Keep a word of your own for the pair in the logbook.")
    ] = None,
    forget: Annotated[
        str | None, typer.Option("--forget", metavar="WORD", help="Forget a word of your own that the logbook has.")
    ] = None,
    kind: Annotated[
        str | None, typer.Option("--kind", metavar="KIND", help="For --add: person, animal, object, action, food …")
    ] = None,
    note: Annotated[str | None, typer.Option("--note", metavar="TEXT", help="For --add: a note.")] = None,
    strength: Annotated[
        float | None, typer.Option("--strength", metavar="0..1", help="For --add: how well you know it.")
    ] = None,
    solver: SolverOption = "",
    method: MethodOption = DEFAULT_METHOD,
    lettering: LetteringOption = None,
    as_json: JsonOption = False,
) -> None:
    """Words for letter pairs: candidates for one pair, a memo in words, or what all pairs have and lack."""
    asked = [pair is not None, scramble is not None, grid, export is not None, take is not None]
    if sum(asked) != 1:
        raise NightfoldError(
            'give one of these: a pair, as in nightfold words LS; --for "R U F2"; --grid; --export FILE.csv; or '
            "--import FILE.csv"
        )
    if scramble is not None and not scramble.strip():
        raise NightfoldError('the scramble is missing; write its turns behind --for, as in --for "R U F2"')
    if not 1 <= number <= _MOST:
        raise NightfoldError(f"--number is {number}; it must be from 1 to {_MOST}")
    for option, given, needed, there in (
        ("--phrases", phrases, "--for", scramble is not None),
        ("--route", route, "--for", scramble is not None),
        ("--breaks", breaks, "--for", scramble is not None),
        ("--orbit", orbit, "--grid or --export", grid or export is not None),
        ("--kept", kept, "--export", export is not None),
        ("--dry-run", dry_run, "--import", take is not None),
        ("--add", add, "a pair", pair is not None),
        ("--forget", forget, "a pair", pair is not None),
        ("--kind", kind, "--add", add is not None),
        ("--note", note, "--add", add is not None),
        ("--strength", strength, "--add", add is not None),
    ):
        if given is not None and not there:
            raise NightfoldError(f"{option} goes with {needed} only")
    from nightfold.memory.coverage import unused_pairs

    chosen = load_method(method)
    letters = load_lettering(chosen.lettering if lettering is None else lettering, chosen.size)
    if take is not None:
        _import(letters, language, take, solver, bool(dry_run), as_json)
        return
    if export is not None and kept:
        _export_kept(language or _language_of(letters), export, solver, as_json)
        return
    if pair is not None and add is not None:
        _keep(letters, language, pair, add, kind, note, strength, solver)
    if pair is not None and forget is not None:
        _forget(letters, language, pair, forget, solver)
    mine = own_words(own, solver, language or _language_of(letters))
    finder = _finder(letters, language, pattern, rule, rude, mine)
    if pair is not None:
        _pair(finder, pair, number, as_json)
    elif scramble is not None:
        _memo(finder, chosen, letters, scramble, breaks, phrases, route, as_json)
    elif export is not None:
        _export(_cover(finder, chosen, letters, orbit), export, as_json)
    else:
        _grid(finder, _cover(finder, chosen, letters, orbit), unused_pairs(mine, chosen, letters), as_json)


def own_words(file: str | None, solver: str = "", language: str | None = None) -> OwnWords:
    """The words of one's own: those of a file, if one is given, and those that the logbook keeps.

    Raises NightfoldError for a file, or a logbook, that cannot be used.
    """
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.own_words import kept_words, together

    given = words_of_file(file)
    book = Logbook.look()
    if book is None:
        return given
    with book:
        return together(given, kept_words(book, solver, language))


def words_of_file(file: str | None) -> OwnWords:
    """The words of a file, none without one.  Raises NightfoldError for a file that cannot be used."""
    from nightfold.memory.own import OwnWords, read_own

    if file is None:
        return OwnWords()
    return read_own(read_text(file, "file of words"), "standard input" if file == "-" else Path(file).name)


def _keep(
    lettering: Lettering,
    language: str | None,
    pair: str,
    word: str,
    kind: str | None,
    note: str | None,
    strength: float | None,
    solver: str,
) -> None:
    """Keep a word for a pair in the logbook; of one that is there what is not said stays as it was."""
    from nightfold.memory.own import changed
    from nightfold.memory.symbols import Symbols, pair_text
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.own_words import as_record, checked, own_word, two_letters, written_over

    letters, code = two_letters(pair, Symbols(_symbols(lettering))), language or _language_of(lettering)
    with Logbook.open() as book:
        kept = book.words(solver=solver, language=code, pair=" ".join(letters))
        told = " ".join(word.split())
        before = next((own_word(one) for one in kept if one.word == told), None)
        given = checked(changed(before, pair_text(letters), word, kind, note, strength))
        book.put(*written_over(book, [as_record(given, letters, code, solver)], solver)[0])


def _import(lettering: Lettering, language: str | None, file: str, solver: str, dry: bool, as_json: bool) -> None:
    """Keep all words of a file in the logbook; with one row that cannot be used, none of them."""
    from nightfold.memory.errors import OwnWordsError
    from nightfold.memory.symbols import Symbols
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.own_words import read_records, written_over

    name = "standard input" if file == "-" else Path(file).name
    text = read_text(file, "file of words")
    symbols, code = Symbols(_symbols(lettering)), language or _language_of(lettering)
    try:
        read = read_records(text, name, symbols, code, solver)
    except OwnWordsError as trouble:
        for problem in trouble.problems:
            complain(problem)
        complain("nothing was imported")
        raise typer.Exit(2) from None
    book = Logbook.look() if dry else Logbook.open()
    if book is None:
        new = len(read)
    else:
        with book:
            records, new = written_over(book, read, solver)
            if records and not dry:
                book.put(*records)
    if as_json:
        print_json({"new": new, "there": len(read) - new, "dry": dry})
    else:
        kept = "; nothing was kept (--dry-run)" if dry else ""
        print(f"new: {new:,} word{'' if new == 1 else 's'}; there already: {len(read) - new:,}{kept}")


def _export_kept(language: str, to: str, solver: str, as_json: bool) -> None:
    """Write the words that the logbook keeps to a file, which --import takes again."""
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.own_words import own_word

    book = Logbook.look()
    found: list[OwnWord] = []
    if book is not None:
        with book:
            found = [own_word(word) for word in book.words(solver=solver, language=language)]
    _write(found, to, language, as_json)


def _forget(lettering: Lettering, language: str | None, pair: str, word: str, solver: str) -> None:
    """Forget a word for a pair.  Raises WordsError where the logbook does not have it."""
    from nightfold.memory.errors import WordsError, cut
    from nightfold.memory.symbols import Symbols, pair_text
    from nightfold.practice.logbook import Logbook
    from nightfold.practice.own_words import two_letters

    letters = two_letters(pair, Symbols(_symbols(lettering)))
    with Logbook.open() as book:
        kept = book.words(solver=solver, language=language or _language_of(lettering), pair=" ".join(letters))
        found = [one for one in kept if one.word.casefold() == " ".join(word.split()).casefold()]
        if not found:
            there = f"; it has {', '.join(one.word for one in kept)}" if kept else ""
            raise WordsError(f"the logbook has no word “{cut(word, 40)}” for {pair_text(letters)}{there}")
        for one in found:
            book.remove_word(one)


def break_policy(
    breaks: str | None, method: Method, lettering: Lettering, own: str | None, language: str | None
) -> str | dict[str, Chooser] | None:
    """The breaks policy to make plans with: what was typed, unless it is ``words``, which takes words to choose by."""
    if breaks is None or breaks.strip() != "words":
        for option, given in (("--own", own), ("--language", language)):
            if given is not None:
                raise NightfoldError(f"{option} goes with --breaks words only")
        return breaks
    from nightfold.memory.breaks import words_breaks

    return words_breaks(method, lettering, own_words(own, language=language or _language_of(lettering)), language)


def _symbols(lettering: Lettering) -> list[str]:
    return [symbol for orbit in lettering.symbols.values() for symbol in orbit.values()]


def _language_of(lettering: Lettering) -> str:
    from nightfold.memory.lexicon import language_of

    return language_of(_symbols(lettering))


def _finder(
    lettering: Lettering, language: str | None, pattern: str | None, rule: str | None, rude: bool, own: OwnWords
) -> Finder:
    from nightfold.memory.candidates import Finder
    from nightfold.memory.lexicon import lexicon
    from nightfold.memory.patterns import chosen_patterns

    code = lexicon(_language_of(lettering) if language is None else language).language
    return Finder(_symbols(lettering), code, chosen_patterns(pattern, code, rule), rude, own)


# --- one pair ----------------------------------------------------------------------------------------------


def _pair(finder: Finder, text: str, number: int, as_json: bool) -> None:
    from nightfold.memory.symbols import pair_text

    pair = finder.symbols.pair(text)
    found = finder.of(pair, number)
    if as_json:
        data = {"pair": pair_text(pair), "language": finder.language, "candidates": [one.to_dict() for one in found]}
        print_json(data)
        return
    from rich.table import Table
    from rich.text import Text

    out = console()
    names = ", ".join(pattern.name for pattern in finder.patterns)
    out.print(Text.assemble((pair_text(pair), LAMP), (f"  language {finder.language}; by {names}", QUIET)))
    _tell_unrated(out, finder)
    if not found:
        print_hanging(out, "there is no word for this pair by these patterns; give one of your own with --add")
        return
    own = any(one.own for one in found)
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style=QUIET, show_edge=False)
    table.add_column("", justify="right", no_wrap=True)
    table.add_column("word")
    columns = [("kind", "left"), ("score", "right"), *([("known", "right")] if own else []), ("how", "left")]
    for heading, justify in columns:
        table.add_column(heading, justify=justify, no_wrap=True)  # type: ignore[arg-type]
    for at, one in enumerate(found, 1):
        word = Text(one.word, style=LAMP)
        if one.note:
            word.append(f"  {one.note}", style=QUIET)
        known = [_hundredths(one.strength)] if own else []
        how = "your own" if one.own else one.pattern
        table.add_row(str(at), word, one.kind, _hundredths(one.score), *known, how)
    out.print(table)


def _hundredths(share: float | None) -> str:
    return "" if share is None else f"{round(100 * share)}"


def _tell_unrated(out: Console, finder: Finder) -> None:
    """Say, where it is so, that nothing is known of how picturable the words are."""
    from rich.text import Text

    if not finder.lexicon.rated:
        said = "of this language it is not known how picturable words are; the frequent and short ones come first"
        print_hanging(out, Text(said, style=QUIET), "", "")


# --- a memo ------------------------------------------------------------------------------------------------


def _memo(
    finder: Finder,
    method: Method,
    lettering: Lettering,
    scramble: str,
    breaks: str | None,
    styles: str | None,
    route: str | None,
    as_json: bool,
) -> None:
    from nightfold.blind.plan import make_plan
    from nightfold.memory.telling import tell

    def plan(policy: Any) -> Plan:
        return make_plan(scramble, method, lettering, breaks=policy)

    told = tell(finder, method, lettering, plan, breaks, styles, route)
    if as_json:
        print_json(told.to_dict())
    else:
        _tell_unrated(console(), finder)
        _print_memo(told)


def _print_memo(told: Telling) -> None:
    from rich.table import Table
    from rich.text import Text

    from nightfold.memory.symbols import pair_text

    out = console()
    for at, (name, pairs) in enumerate(told.memo.items()):
        if at:
            out.print()
        out.print(Text(name.upper(), style="bold"))
        if not pairs:
            out.print(Text("  nothing to remember: all solved", style=QUIET))
            continue
        table = Table.grid(padding=(0, 2))
        table.add_column(no_wrap=True)
        for pair, one in zip(pairs, told.words[name], strict=True):
            word = Text(one.word if one else "no word")
            if one and one.note:
                word.append(f"  {one.note}", style=QUIET)
            said = "" if one is None else "your own" if one.own else "weak" if one.weak else ""
            table.add_row(Text(f"  {pair_text(pair)}", style=LAMP), word, Text(said, style=QUIET))
        out.print(table)
        if name in told.phrases:
            print_hanging(out, _lit(told.phrases[name]))
    if told.why_not:
        out.print()
        print_hanging(out, Text(told.why_not, style=QUIET), "", "")
    out.print()
    parity = "there is parity" if told.plan.parity else "there is no parity"
    out.print(Text(f"{told.plan.letters} letters; {parity}", style=QUIET))


def _lit(phrase: Phrase) -> Text:
    """A phrase with the words of pairs in the lamp's colour."""
    from rich.text import Text

    return Text.assemble(*((part.text, LAMP if part.pair else QUIET) for part in phrase.parts))


# --- all pairs ---------------------------------------------------------------------------------------------


def _cover(finder: Finder, method: Method, lettering: Lettering, orbit: str | None) -> Coverage:
    from nightfold.memory.coverage import cover

    names = tuple(way.orbit.name for way in method.ways)
    if orbit is not None and orbit.strip().casefold() not in names:
        raise NightfoldError(f"“{orbit[:24]}” is no orbit of the method {method.name}; it has {', '.join(names)}")
    return cover(finder, method, lettering, None if orbit is None else (orbit.strip().casefold(),))


def _export(cover: Coverage, to: str, as_json: bool) -> None:
    _write(cover.as_own(), to, cover.language, as_json)


def _write(found: Sequence[OwnWord], to: str, language: str, as_json: bool) -> None:
    """Write words to a file that is not there yet, or to standard output."""
    from nightfold.memory.own import write_own

    text = write_own(found)
    if to == "-":
        if as_json:
            raise NightfoldError("--export - prints the file, so there is no room for JSON; give a file's name")
        print(text, end="")
        return
    try:
        if Path(to).is_dir():
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
        with Path(to).open("x", encoding="utf-8", newline="") as file:
            file.write(text)
    except FileExistsError:
        raise NightfoldError(f"“{to[:80]}” is there already; choose another name") from None
    except (OSError, ValueError) as trouble:
        reason = trouble.strerror if isinstance(trouble, OSError) and trouble.strerror else "not a usable path"
        raise NightfoldError(f"“{to[:80]}” cannot be written: {reason}") from None
    if as_json:
        print_json({"file": to, "language": language, "words": len(found)})
    else:
        out = console()
        print_hanging(
            out,
            f"{len(found):,} word{'' if len(found) == 1 else 's'} written to {to}; change them there, and read them "
            "with --own",
            "",
            "",
        )


def _grid(finder: Finder, cover: Coverage, unused: list[str], as_json: bool) -> None:
    if as_json:
        print_json({**cover.to_dict(), "unused": unused})
        return
    from rich.text import Text

    out = console()
    _tell_unrated(out, finder)
    for name in cover.cells:
        out.print(Text.assemble((name.upper(), "bold"), (f"  language {cover.language}", QUIET)))
        _print_cells(out, cover, name)
        for state, count in cover.counts(name).items():
            sign, meaning, style = _SIGNS[state]
            if count:
                out.print(Text.assemble("  ", (sign, style), f"  {count:>3} {meaning}"))
        _print_troubles(out, cover, name)
        out.print()
    print_hanging(out, Text("a row is the first letter, a column the second", style=QUIET), "", "")
    if unused:
        listed = ", ".join(unused[:20]) + (" …" if len(unused) > 20 else "")
        print_hanging(out, f"no memo has these pairs of your own: {listed}", "", "  ")


def _print_cells(out: Console, cover: Coverage, name: str) -> None:
    """The grid, in parts where the terminal is too narrow for all columns."""
    from rich.text import Text

    letters, cells = cover.letters[name], cover.cells[name]
    wide = max(max(map(_width, letters)), 1) + 1
    across = max(1, (out.width - wide - 1) // wide)
    for start in range(0, len(letters), across):
        columns = letters[start : start + across]
        head = Text(" " * (wide + 1))
        for letter in columns:
            head.append(_padded(letter, wide), style=QUIET)
        head.rstrip()
        out.print(head)
        for first in letters:
            line = Text(" ").append(_padded(first, wide), style=LAMP)
            for second in columns:
                cell = cells.get((first, second))
                sign, _, style = _SIGNS[cell.state] if cell else (" ", "", "")
                line.append(_padded(sign, wide), style=style)
            line.rstrip()
            out.print(line)


def _print_troubles(out: Console, cover: Coverage, name: str) -> None:
    """The pairs that want a better word, with the words they have."""
    from rich.text import Text

    from nightfold.memory.symbols import pair_text

    for state in ("missing", "clashing", "weak"):
        some = [cell for cell in cover.cells[name].values() if cell.state == state]
        if not some:
            continue
        told = []
        for cell in some[:40]:
            word = f" {cell.candidate.word}" if cell.candidate else ""
            like = f" (like {', '.join(map(pair_text, cell.like[:3]))})" if cell.like else ""
            told.append(f"{pair_text(cell.pair)}{word}{like}")
        more = f" and {len(some) - 40} more" if len(some) > 40 else ""
        print_hanging(out, Text.assemble((f"{state}: ", QUIET), "; ".join(told) + more), "  ", "    ")


def _width(text: str) -> int:
    from rich.cells import cell_len

    return cell_len(text)


def _padded(text: str, width: int) -> str:
    return text + " " * (width - _width(text))
