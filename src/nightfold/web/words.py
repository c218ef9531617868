"""``/api/words``: words for letter pairs and for the cube at hand, one's own words and routes, and what pairs lack."""

from __future__ import annotations

import threading
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from fastapi.responses import PlainTextResponse
from pydantic import Field

from nightfold.web import library
from nightfold.web.book import book
from nightfold.web.errors import WebError
from nightfold.web.models import Answer, Asked, CubeIn, LetteringName, MethodName
from nightfold.web.work import Task, quick, search

if TYPE_CHECKING:
    from nightfold.blind.lettering import Lettering
    from nightfold.blind.method import Method
    from nightfold.blind.plan import Plan
    from nightfold.blind.reading import Chooser
    from nightfold.memory.candidates import Finder
    from nightfold.memory.coverage import Coverage
    from nightfold.memory.symbols import Symbols
    from nightfold.practice.records import Route, Word

router = APIRouter(tags=["words"])

Solver = Annotated[str, Field(max_length=200, description="Whose words they are; empty for oneself.")]
Who = Annotated[str, Query(max_length=200, description="Whose words; empty for one's own.")]
LanguageName = Annotated[
    str | None, Field(max_length=40, description="The language of the words; by the letters if null.", examples=["en"])
]
PatternNames = Annotated[
    str | None,
    Field(description="Patterns with commas between; all that suit the language if null.", examples=["ends"]),
]
RuleText = Annotated[
    str | None,
    Field(description="A rule of one's own; alone where no pattern is named.", examples=["starts {a}, then {b}"]),
]
StateName = Literal["own", "suggestion", "weak", "clashing", "missing"]
#: So many coverages are kept ready, since one takes a second to make.
_READY = 4
_covers: dict[Any, Coverage] = {}
_covering = threading.Lock()


class UnknownWordError(WebError):
    """A word or a route that the logbook does not have."""

    status = 404


class WordsAsked(Asked):
    """Whose letters and whose words."""

    method: MethodName = "two-swap"
    lettering: LetteringName = None
    language: LanguageName = None
    solver: Solver = ""


class SuggestAsked(WordsAsked):
    """Which words may come."""

    rude: bool = Field(False, description="Let rude words through.")
    pattern: PatternNames = None
    rule: RuleText = None


class PairAsked(SuggestAsked):
    """The pair to find words for."""

    pair: str = Field(description="A pair, or one letter that is left over.", examples=["LS"])
    number: int = Field(12, ge=1, le=200, description="At most so many.")


class MarksOut(Answer):
    """What a suggestion's score is made of, each from 0 to 1; null where nothing is known."""

    picturable: float | None
    common: float
    short: float
    kind: float | None
    pattern: float


class CandidateOut(Answer):
    """A word that may stand for a pair."""

    word: str
    own: bool
    kind: str
    pattern: str = Field(description="How it leads back to the letters; “own” for a word of one's own.")
    score: float | None = Field(description="Null for a word of one's own that would not be suggested.")
    marks: MarksOut | None = Field(description="Of two words together; null where there is no score.")
    weak: bool
    note: str
    strength: float | None = Field(description="How well an own word is known, from 0 to 1.")


class OwnOut(Answer):
    """A word of one's own."""

    id: str
    pair: str = Field(description="The pair as it is written, as LS.")
    letters: list[str] = Field(description="Its two letters.")
    word: str
    kind: str
    note: str
    strength: float
    language: str


class PairOut(Answer):
    """What there is for a pair."""

    pair: str
    letters: list[str]
    language: str
    own: list[OwnOut] = Field(description="The words that are kept for it.")
    candidates: list[CandidateOut] = Field(description="Own words first, then suggestions, the best first.")


class ToldIn(CubeIn):
    """A cube whose memo is wanted in words; its breaks may be ``words`` too, which looks for the best pairs."""

    language: LanguageName = None
    rude: bool = False
    pattern: PatternNames = None
    rule: RuleText = None
    solver: Solver = ""
    styles: str | None = Field(
        None,
        max_length=200,
        description="person-action-object, story, route or sounds, for all or by orbit.",
        examples=["edges=sounds;corners=story"],
    )
    route: str | None = Field(None, max_length=4000, description="Places with commas between them.")


class ToldPairOut(Answer):
    """A pair of the memo with its word."""

    pair: str
    word: str | None
    own: bool
    kind: str
    weak: bool
    note: str


class PhrasePartOut(Answer):
    """A piece of a phrase; the pair it tells, or null for words in between."""

    text: str
    pair: str | None


class PhraseOut(Answer):
    """The pairs of an orbit in a phrase."""

    style: str
    text: str
    parts: list[PhrasePartOut]


class ToldOrbitOut(Answer):
    """One orbit of a memo in words."""

    orbit: str
    pairs: list[ToldPairOut]
    phrase: PhraseOut | None


class ToldOut(Answer):
    """A memo in words."""

    scramble: str
    language: str
    orbits: list[ToldOrbitOut]
    why_not: str = Field(description="Why there are no phrases; empty where there are.")


class CellOut(Answer):
    """A pair of the grid."""

    pair: str
    letters: list[str]
    state: StateName
    word: str | None
    like: list[str] = Field(description="The pairs whose words are near-identical with its own.")
    in_place: bool = Field(description="Whether only a piece turned in its place has this pair.")


class GridOrbitOut(Answer):
    """The pairs of one orbit; its letters are the rows and the columns."""

    orbit: str
    letters: list[str]
    counts: dict[StateName, int]
    pairs: list[CellOut]


class GridOut(Answer):
    """What all pairs that a memo can have are told by."""

    language: str
    orbits: list[GridOrbitOut]
    unused: list[str] = Field(description="Pairs of own words that no memo has.")


class OwnIn(WordsAsked):
    """A word of one's own to be kept."""

    pair: str
    word: str
    kind: str | None = Field(None, description="What it pictures; as it was if null, as are note and strength.")
    note: str | None = None
    strength: float | None = Field(None, ge=0, le=1)
    instead: str | None = Field(None, max_length=40, description="The id of the word in whose place it comes.")


class ImportIn(WordsAsked):
    """A file of own words."""

    text: str = Field(max_length=1_000_000, description="CSV with the columns pair, word, kind, note, strength.")
    name: str = Field("the file", max_length=200)
    dry: bool = Field(True, description="Only look what would come of it.")


class ImportOut(Answer):
    """What came, or would come, of a file; with a fault nothing is kept."""

    new: int
    changed: int
    problems: list[str] = Field(description="What is wrong with it, row by row.")
    kept: bool
    some: list[OwnOut] = Field(description="The first words of it.")


class ChoicesOut(Answer):
    """What can be chosen where words are looked for."""

    languages: list[str]
    rated: list[str] = Field(description="Languages of which it is known how picturable words are.")
    usual: str = Field(description="The language that the letters suggest.")
    kinds: list[str]
    styles: list[str]
    patterns: dict[str, str] = Field(description="What each pattern means.")
    only: dict[str, list[str]] = Field(description="The languages of patterns that are not for all.")


class RouteIn(Asked):
    """A way through a place that one knows."""

    name: str = Field(min_length=1, max_length=100)
    places: str = Field(max_length=4000, description="What one passes on it, commas between.")
    solver: Solver = ""


class RouteOut(Answer):
    """A route that is kept."""

    id: str
    name: str
    places: list[str]


@router.get("/words")
async def get_words(asked: Annotated[PairAsked, Query()], request: Request) -> PairOut:
    """The words for a pair, one's own first."""

    def work(_: Task) -> PairOut:
        from nightfold.memory.symbols import pair_text

        lettering = _letters(asked)[1]
        finder = _finder(lettering, asked, asked.rude, asked.pattern, asked.rule)
        pair = finder.symbols.pair(asked.pair)
        kept = book().words(solver=asked.solver, language=finder.language, pair=" ".join(pair))
        return PairOut(
            pair=pair_text(pair),
            letters=list(pair),
            language=finder.language,
            own=[_own_out(word) for word in kept] if len(pair) == 2 else [],
            candidates=[CandidateOut.model_validate(one.to_dict()) for one in finder.of(pair, asked.number)],
        )

    return await search(request, work)


@router.get("/words/choices")
async def get_choices(asked: Annotated[WordsAsked, Query()], request: Request) -> ChoicesOut:
    """Languages, kinds of pictures, styles of phrases and patterns."""

    def work(_: Task) -> ChoicesOut:
        from nightfold.memory.lexicon import KINDS, RATED, language_of, languages
        from nightfold.memory.patterns import patterns
        from nightfold.memory.phrases import STYLES

        return ChoicesOut(
            languages=list(languages()),
            rated=list(RATED),
            usual=language_of(_symbols(_letters(asked)[1]).all),
            kinds=list(KINDS),
            styles=list(STYLES),
            patterns={name: pattern.about for name, pattern in patterns().items()},
            only={name: list(pattern.languages) for name, pattern in patterns().items() if pattern.languages},
        )

    return await search(request, work)


@router.post("/words/for")
async def words_for(asked: ToldIn, request: Request) -> ToldOut:
    """The memo of a cube in words and phrases."""

    def work(_: Task) -> ToldOut:
        from nightfold.memory.telling import tell
        from nightfold.web.cubes import plan_of

        method, lettering = _letters(asked)
        finder = _finder(lettering, asked, asked.rude, asked.pattern, asked.rule)

        def plan(policy: Any) -> Plan:
            return plan_of(asked, policy)

        told = tell(finder, method, lettering, plan, asked.breaks, asked.styles, asked.route)
        return ToldOut.model_validate({**told.to_dict(), "why_not": told.why_not})

    return await search(request, work)


@router.get("/words/grid")
async def get_grid(asked: Annotated[SuggestAsked, Query()], request: Request) -> GridOut:
    """All pairs that a memo can have, and what each of them lacks."""

    def work(_: Task) -> GridOut:
        from nightfold.memory.coverage import unused_pairs
        from nightfold.memory.symbols import pair_text

        method, lettering = _letters(asked)
        finder = _finder(lettering, asked, asked.rude, asked.pattern, asked.rule)
        found = _cover(finder, method, lettering)
        told = found.to_dict()
        for orbit in told["orbits"]:
            letters = {pair_text(pair): list(pair) for pair in found.cells[orbit["orbit"]]}
            for cell in orbit["pairs"]:
                cell["letters"] = letters[cell["pair"]]
        return GridOut.model_validate({**told, "unused": unused_pairs(finder.own, method, lettering)})

    return await search(request, work)


@router.get("/words/own")
async def get_own(solver: Who = "", language: Annotated[str | None, Query(max_length=40)] = None) -> list[OwnOut]:
    """All words of one's own."""
    return await quick(lambda: [_own_out(word) for word in book().words(solver=solver, language=language)])


@router.put("/words/own")
async def put_own(asked: OwnIn) -> OwnOut:
    """Keep a word; the same word for the same pair is changed."""

    def work() -> OwnOut:
        from nightfold.memory.own import changed
        from nightfold.memory.symbols import pair_text
        from nightfold.practice.own_words import as_record, checked, own_word, two_letters, written_over
        from nightfold.practice.records import Word

        symbols = _symbols(_letters(asked)[1])
        letters = two_letters(asked.pair, symbols)
        before = None if asked.instead is None else book().get(Word, asked.instead)
        if asked.instead is not None and (before is None or before.solver != asked.solver):
            raise UnknownWordError("the word to be changed is not in the logbook any more")
        language = before.language if before and asked.language is None else _language(asked.language, symbols)
        told = " ".join(asked.word.split())
        kept = book().words(solver=asked.solver, language=language, pair=" ".join(letters))
        old = before or next((word for word in kept if word.word == told), None)
        given = changed(
            own_word(old) if old else None, pair_text(letters), asked.word, asked.kind, asked.note, asked.strength
        )
        word = checked(given)
        (made,), _ = written_over(book(), [as_record(word, letters, language, asked.solver)], asked.solver)
        if before is not None and before.id != made.id:
            made = replace(made, created=before.created)
        book().put(made)
        if before is not None and before.id != made.id:
            book().remove_word(before)
        return _own_out(made)

    return await quick(work)


@router.delete("/words/own/{ident}")
async def remove_own(ident: str, solver: Who = "") -> OwnOut:
    """Forget a word; what it was."""

    def work() -> OwnOut:
        from nightfold.practice.records import Word

        found = book().get(Word, ident[:40])
        if found is None or found.solver != solver:
            raise UnknownWordError(f"there is no word {ident[:40]} in the logbook")
        book().remove_word(found)
        return _own_out(found)

    return await quick(work)


@router.get("/words/own.csv", response_class=PlainTextResponse)
async def get_csv(solver: Who = "", language: Annotated[str | None, Query(max_length=40)] = None) -> PlainTextResponse:
    """One's own words as a file, which can be imported again."""

    def work() -> str:
        from nightfold.memory.own import write_own
        from nightfold.practice.own_words import own_word

        return write_own(own_word(word) for word in book().words(solver=solver, language=language))

    headers = {"Content-Disposition": 'attachment; filename="nightfold-words.csv"'}
    return PlainTextResponse(await quick(work), media_type="text/csv", headers=headers)


@router.post("/words/import")
async def import_words(asked: ImportIn) -> ImportOut:
    """Look at a file of own words, or take it whole; with a fault in it nothing of it is taken."""

    def work() -> ImportOut:
        from nightfold.memory.errors import OwnWordsError
        from nightfold.practice.own_words import read_records, written_over

        symbols = _symbols(_letters(asked)[1])
        language = _language(asked.language, symbols)
        try:
            read = read_records(asked.text, asked.name.strip()[:60] or "the file", symbols, language, asked.solver)
        except OwnWordsError as trouble:
            return ImportOut(new=0, changed=0, problems=list(trouble.problems), kept=False, some=[])
        records, new = written_over(book(), read, asked.solver)
        if records and not asked.dry:
            book().put(*records)
        some = [_own_out(word) for word in records[:8]]
        return ImportOut(new=new, changed=len(records) - new, problems=[], kept=not asked.dry, some=some)

    return await quick(work)


@router.get("/words/routes")
async def get_routes(solver: Who = "") -> list[RouteOut]:
    """The routes that are kept."""
    return await quick(lambda: [_route_out(route) for route in book().routes(solver=solver)])


@router.put("/words/routes")
async def put_route(asked: RouteIn) -> RouteOut:
    """Keep a route, in the place of the one with its name if there is one."""

    def work() -> RouteOut:
        from datetime import UTC, datetime

        from nightfold.memory.phrases import read_route
        from nightfold.practice.records import Route

        places, name = read_route(asked.places), " ".join(asked.name.split())
        same = next((one for one in book().routes(solver=asked.solver) if one.name == name), None)
        if same is None:
            made = Route(solver=asked.solver, name=name, loci=places)
        else:
            made = replace(same, loci=places, changed=datetime.now(UTC))
        book().put_route(made)
        return _route_out(made)

    return await quick(work)


@router.delete("/words/routes/{ident}")
async def remove_route(ident: str, solver: Who = "") -> RouteOut:
    """Forget a route; what it was."""

    def work() -> RouteOut:
        from nightfold.practice.records import Route

        found = book().get(Route, ident[:40])
        if found is None or found.solver != solver:
            raise UnknownWordError(f"there is no route {ident[:40]} in the logbook")
        book().remove(Route, found.id)
        return _route_out(found)

    return await quick(work)


def strongest_pairs(method: Method, lettering: Lettering) -> dict[str, Chooser]:
    """The breaks policy ``words`` by the words that are kept now, for every orbit of a method."""
    from nightfold.memory.breaks import StrongestPairs, worth_of

    finder = _finder(lettering, WordsAsked())
    chooser = StrongestPairs(lettering, worth_of(_cover(finder, method, lettering).words, finder))
    return {way.orbit.name: chooser for way in method.ways}


def _letters(asked: WordsAsked | CubeIn) -> tuple[Method, Lettering]:
    method = library.method(asked.method)
    return method, library.letters_for(method, asked.lettering)


def _symbols(lettering: Lettering) -> Symbols:
    from nightfold.memory.symbols import Symbols

    return Symbols(symbol for orbit in lettering.symbols.values() for symbol in orbit.values())


def _language(name: str | None, symbols: Symbols) -> str:
    """The language that was asked for, or that of the letters.  Raises WordsError for one without words."""
    from nightfold.memory.errors import WordsError
    from nightfold.memory.lexicon import language_of, languages

    if name is None:
        return language_of(symbols.all)
    code = name.strip().casefold()
    if code not in languages():
        raise WordsError(f"there are no words for the language “{name[:24]}”; known are {', '.join(languages())}")
    return code


def _own_out(word: Word) -> OwnOut:
    from nightfold.memory.symbols import pair_text

    told = {name: getattr(word, name) for name in ("id", "word", "kind", "note", "strength", "language")}
    return OwnOut(pair=pair_text(word.symbols), letters=list(word.symbols), **told)


def _route_out(route: Route) -> RouteOut:
    return RouteOut(id=route.id, name=route.name, places=list(route.loci))


def _finder(
    lettering: Lettering,
    asked: WordsAsked | ToldIn,
    rude: bool = False,
    pattern: str | None = None,
    rule: str | None = None,
) -> Finder:
    """A finder with the words that are kept now."""
    from nightfold.memory.candidates import Finder
    from nightfold.memory.patterns import chosen_patterns
    from nightfold.practice.own_words import kept_words

    symbols = _symbols(lettering)
    code = _language(asked.language, symbols)
    chosen = chosen_patterns(pattern, code, rule)
    return Finder(symbols.all, code, chosen, rude, kept_words(book(), asked.solver, code))


def _cover(finder: Finder, method: Method, lettering: Lettering) -> Coverage:
    from nightfold.memory.coverage import cover

    letters = tuple((orbit, *sorted(symbols.items())) for orbit, symbols in sorted(lettering.symbols.items()))
    buffers = tuple((way.orbit.name, way.buffer) for way in method.ways)
    by = tuple(pattern.about for pattern in finder.patterns)
    key = letters, buffers, finder.language, finder.rude, by, finder.own.all
    with _covering:
        if key not in _covers:
            if len(_covers) >= _READY:
                _covers.pop(next(iter(_covers)))
            _covers[key] = cover(finder, method, lettering)
        return _covers[key]
