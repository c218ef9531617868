"""Phrases that link the words of a memo in order, and syllables for those who would rather hear it.

Every word of a phrase that tells a pair is one of the pair's candidates, a verb perhaps in the form ``paints`` or
``painting``; whatever stands between is from ``phrases.toml``.  The sentences are English.  The same memo with the same
words gives the same phrase.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from nightfold.memory.candidates import Candidate, Finder
from nightfold.memory.errors import WordsError, cut
from nightfold.memory.inflect import doing, third_person
from nightfold.memory.patterns import TWO_WORDS
from nightfold.memory.rude import rude_filter
from nightfold.memory.sounds import syllable
from nightfold.memory.symbols import Pair, pair_text

#: The ways to link the pairs of a memo.
STYLES = ("person-action-object", "story", "route", "sounds")
#: What is used for an orbit if nothing is said.
USUAL = {"edges": "person-action-object", "corners": "story"}
#: So many pairs lie at one place of a route, and at most so many where places are few.
PAIRS_AT_A_PLACE, MOST_AT_A_PLACE = 2, 3
#: No route a person walks in thought is anywhere near so long.
MAX_PLACES, MAX_PLACE = 60, 40
#: So many candidates are looked at for one that can stand where a phrase needs it.
_DEEP = 40
#: The kinds of words that do something, those that are told first; that one can be in; those that cannot be seen.
_ACTORS, _PLACE, _UNSEEN = ("person", "animal"), "place", ("action", "quality", "idea")
_SLOT = re.compile(r"(\{\w+\})")
_IN = re.compile(r"\b[Ii]n(?:to)? $")


@dataclass(frozen=True, slots=True)
class Part:
    """A piece of a phrase: words in between (no pair), or the word of a pair, as it is written there."""

    text: str
    pair: Pair = ()
    candidate: Candidate | None = None

    @property
    def role(self) -> str:
        """What the pair is in a sentence: an actor, a thing, or a place."""
        if self.candidate is None:
            return "thing"
        if self.candidate.kind in _ACTORS:
            return "actor"
        last = self.candidate.word.casefold().rpartition(" ")[2]
        return "place" if self.candidate.kind == _PLACE or last in _landscape() else "thing"


@dataclass(frozen=True, slots=True)
class Phrase:
    """The phrase of one orbit in its style; ``str`` gives it as one text."""

    orbit: str
    style: str
    parts: tuple[Part, ...]

    def __str__(self) -> str:
        return "".join(part.text for part in self.parts)

    @property
    def pairs(self) -> tuple[Pair, ...]:
        """The pairs it tells, in order."""
        return tuple(part.pair for part in self.parts if part.pair)

    def to_dict(self) -> dict[str, Any]:
        """The phrase as plain data, in the stable form that docs/plan-json.md describes."""
        return {
            "style": self.style,
            "text": str(self),
            "parts": [{"text": part.text, "pair": pair_text(part.pair) if part.pair else None} for part in self.parts],
        }


@cache
def _glue() -> Mapping[str, Any]:
    return tomllib.loads(Path(__file__).with_name("phrases.toml").read_text("utf-8"))


def styles_of(text: str | None, orbits: Sequence[str]) -> dict[str, str]:
    """The style of every orbit, from one for all or a list such as ``edges=sounds;corners=story``.

    Orbits that are not named get their usual style.  Raises WordsError for a style or an orbit there is not.
    """
    usual = {orbit: USUAL.get(orbit, "story") for orbit in orbits}
    if text is None:
        return usual
    if "=" not in text:
        return dict.fromkeys(orbits, _style(text))
    for part in filter(None, (part.strip() for part in text.split(";"))):
        orbit, equals, style = (piece.strip() for piece in part.partition("="))
        if orbit not in orbits or not equals:
            raise WordsError(f"“{cut(part, 40)}” must be an orbit, =, and a style, as in {orbits[0]}=story")
        usual[orbit] = _style(style)
    return usual


def _style(text: str) -> str:
    name = text.strip().casefold()
    if name not in STYLES:
        raise WordsError(f"“{cut(text, 32)}” is no style of phrases; styles are {', '.join(STYLES)}")
    return name


def read_route(text: str) -> tuple[str, ...]:
    """The places of a route from a text with commas between them.  Raises WordsError for none, or for too many."""
    places = tuple(" ".join(part.split()) for part in text.split(","))
    places = tuple(place for place in places if place)
    if not places:
        raise WordsError("the route names no places; write them with commas between, as in door, stove, lamp")
    if len(places) > MAX_PLACES:
        raise WordsError(f"the route has more than {MAX_PLACES} places, which no memo needs")
    for place in places:
        if len(place) > MAX_PLACE or not place.isprintable():
            raise WordsError(f"“{cut(place)}” is no place of a route: it is too long or cannot be shown")
    return places


class Writer:
    """Writes phrases with the words of a finder.

    ``words`` are the words given to pairs before, so that a pair is the same picture every time; others come from the
    finder.
    """

    def __init__(self, finder: Finder, words: Mapping[Pair, Candidate] | None = None) -> None:
        self.finder = finder
        self.words = dict(words or {})

    def write(
        self,
        memo: Mapping[str, Sequence[Pair]],
        styles: Mapping[str, str] | None = None,
        route: Sequence[str] = (),
    ) -> tuple[Phrase, ...]:
        """The phrases of a memo, given as the pairs of each orbit.

        The places of a ``route`` serve the orbits that ask for one, in order.  Raises WordsError when a pair has no
        word, when sentences are asked for in another language than English, or when the places are too few.
        """
        styles = styles_of(None, tuple(memo)) if styles is None else styles
        if self.finder.language != "en" and any(styles[orbit] != "sounds" for orbit in memo):
            raise WordsError("phrases are written in English only; the words of other languages come as a list")
        places = _share_out(memo, styles, route)
        return tuple(
            Phrase(orbit, styles[orbit], tuple(self._parts(orbit, styles[orbit], pairs, places.get(orbit, ()))))
            for orbit, pairs in memo.items()
        )

    def _parts(self, orbit: str, style: str, pairs: Sequence[Pair], places: Sequence[str]) -> Iterator[Part]:
        if not pairs:
            return
        if style == "sounds":
            yield from self._sounds(pairs)
            return
        first: Mapping[str, str] = _glue()["first"]
        yield Part(f"{first.get(orbit, first['else'])} ")
        # Sentences of a kind come in turn, beginning elsewhere for every memo.
        turn = _Turn(sum(ord(char) for pair in pairs for char in "".join(pair)))
        sentences: Iterable[list[Part]]
        if style == "route":
            sentences = self._route(pairs, places, turn)
        elif style == "story":
            sentences = (self._things(some, turn) for some in _taken(pairs, 2))
        else:
            sentences = self._deeds(pairs, turn)
        for number, parts in enumerate(sentences):
            # Words between that open a sentence have their capital already; those of pairs get it here.
            yield from _sentence(parts, " " if number else "")

    def _sounds(self, pairs: Sequence[Pair]) -> Iterator[Part]:
        unwanted = rude_filter("en").words
        for number, pair in enumerate(pairs):
            if number:
                yield Part(" ")
            yield Part(syllable(pair, unwanted), pair)

    # --- styles --------------------------------------------------------------------------------------------

    def _things(self, pairs: Sequence[Pair], turn: _Turn) -> list[Part]:
        """A sentence of one to three pairs, each as something that is there."""
        return _linked([self._thing(pair) for pair in pairs], turn)

    def _route(self, pairs: Sequence[Pair], places: Sequence[str], turn: _Turn) -> Iterator[list[Part]]:
        for place, some in zip(places, _spread(pairs, len(places)), strict=False):
            if len(some) == 1:
                yield [Part(f"{place}: "), self._thing(some[0]), Part(".")]
            else:
                first, *rest = self._things(some, turn)
                yield [Part(f"{place}: "), first if first.pair else replace(first, text=first.text.lower()), *rest]

    def _deeds(self, pairs: Sequence[Pair], turn: _Turn) -> Iterator[list[Part]]:
        for some in _taken(pairs, 3):
            if len(some) == 1:
                yield self._things(some, turn)
                continue
            actor = self._actor(some[0])
            thing = self._thing(some[2]) if len(some) == 3 else None
            # The deed at the end of two needs nothing it is done to.
            how, deed = self._deed(some[1], thing) if actor.role == "actor" or _is_own(actor) else ("", None)
            if deed is None:
                yield _linked([actor, self._thing(some[1]), *([thing] if thing else [])], turn)
            else:
                yield _filled(turn.of("deed", how), [actor, deed, *([thing] if thing else [])])

    # --- the words of pairs --------------------------------------------------------------------------------

    def _candidates(self, pair: Pair) -> Iterator[Candidate]:
        """The words of a pair: that which it was given first, and one's own before all others."""
        given = self.words.get(pair)
        if given:
            yield given
        yield from (one for one in self.finder.of(pair, _DEEP) if one != given)

    def _thing(self, pair: Pair) -> Part:
        """The pair as something that is there.  Raises WordsError when it has no word."""
        found = None
        for one in self._candidates(pair):
            found = found or one
            if one.own or one.kind not in _UNSEEN:
                return Part(_with_article(one), pair, one)
        if found is None:
            raise WordsError(f"there is no word for {pair_text(pair)}; give one of your own with --own")
        verb = found.entries[0].verb if found.entries else ""
        return Part(doing(found.word) if verb and found.kind == "action" else f"something {found.word}", pair, found)

    def _actor(self, pair: Pair) -> Part:
        """The pair as somebody: a person or an animal if it has one, unless its own word is something else."""
        first = next(self._candidates(pair), None)
        if first is None or first.own or first.kind in _ACTORS:
            return self._thing(pair)
        some = [one for one in self.finder.suggestions(pair) if one.kind in _ACTORS]
        # One word before two, a person before an animal, good ones before weak ones.
        some.sort(key=lambda one: (one.weak, one.pattern == TWO_WORDS, _ACTORS.index(one.kind)))
        return Part(_with_article(some[0]), pair, some[0]) if some else self._thing(pair)

    def _deed(self, pair: Pair, thing: Part | None) -> tuple[str, Part | None]:
        """The pair as something that is done, and how that is told; None if nothing suits what it is done to.

        A verb of one's own is taken as it is; others must be among those that can be seen.
        """
        verbs = _verbs()
        beside = f"beside-{thing.role}" if thing else "alone"
        for one in self.finder.own_words(pair):
            if not _is_deed(one):
                return "", None
            to = thing is not None and one.word.casefold() not in verbs["alone"]
            return "to" if to else beside, Part(third_person(one.word), pair, one)
        spare = None
        for one in self.finder.suggestions(pair):
            if len(one.entries) != 1:
                continue
            if thing and one.word in verbs[thing.role]:
                return "to", Part(third_person(one.word), pair, one)
            if spare is None and one.word in verbs["alone"]:
                spare = Part(third_person(one.word), pair, one)
        return beside, spare


class _Turn:
    """The sentences of ``phrases.toml`` in turn."""

    def __init__(self, start: int) -> None:
        self._start = start
        self._told: Counter[tuple[str, str]] = Counter()

    def of(self, table: str, name: str) -> str:
        """The next sentence of a row of sentences."""
        row: Sequence[str] = _glue()[table][name]
        at = self._start + self._told[table, name]
        self._told[table, name] += 1
        return row[at % len(row)]


@cache
def _landscape() -> frozenset[str]:
    """What one can be in though it is nature and no place by its kind."""
    return frozenset(_glue()["places"]["nature"].split())


@cache
def _verbs() -> Mapping[str, frozenset[str]]:
    """The verbs that can be seen, by what they are done to."""
    return {role: frozenset(words.split()) for role, words in _glue()["verbs"].items()}


def _linked(things: Sequence[Part], turn: _Turn) -> list[Part]:
    """One to three things in a sentence that suits what they are."""
    table = ("one", "two", "three")[len(things) - 1]
    return _filled(turn.of(table, "-".join(thing.role for thing in things)), things)


def _is_own(part: Part) -> bool:
    return part.candidate is not None and part.candidate.own


def _is_deed(one: Candidate) -> bool:
    return one.own and one.kind == "action" and " " not in one.word


def _with_article(one: Candidate) -> str:
    """The word with *the*, unless it is a name or has an article of its own."""
    if _is_deed(one):
        return doing(one.word)
    if one.kind == "quality":
        return f"something {one.word}"
    if one.word[:1].isupper() or one.word.casefold().startswith(("the ", "a ", "an ", "my ", "our ")):
        return one.word
    return f"the {one.word}"


def _taken(pairs: Sequence[Pair], most: int) -> Iterator[Sequence[Pair]]:
    for at in range(0, len(pairs), most):
        yield pairs[at : at + most]


def _spread(pairs: Sequence[Pair], places: int) -> Iterator[Sequence[Pair]]:
    """The pairs laid out over places: two each, or evenly where that would not do."""
    each = max(PAIRS_AT_A_PLACE, -(-len(pairs) // places))
    return _taken(pairs, each)


def _share_out(
    memo: Mapping[str, Sequence[Pair]], styles: Mapping[str, str], route: Sequence[str]
) -> dict[str, Sequence[str]]:
    """The places of the route for each orbit that takes one: the first ones for the first."""
    asking = [orbit for orbit in memo if styles[orbit] == "route" and memo[orbit]]
    if not asking:
        return {}
    for each in range(PAIRS_AT_A_PLACE, MOST_AT_A_PLACE + 1):
        needed = {orbit: -(-len(memo[orbit]) // each) for orbit in asking}
        if sum(needed.values()) <= len(route):
            found: dict[str, Sequence[str]] = {}
            at = 0
            for orbit in asking:
                found[orbit] = route[at : at + needed[orbit]]
                at += needed[orbit]
            return found
    has = f"has {len(route)} place{'s' if len(route) != 1 else ''}" if route else "is missing"
    raise WordsError(
        f"the route {has}; this memo needs at least {sum(needed.values())}, for {MOST_AT_A_PLACE} pairs at a place"
    )


def _filled(form: str, things: Sequence[Part]) -> list[Part]:
    """A sentence with the words of pairs put in."""
    pieces = [piece for piece in _SLOT.split(form) if piece]
    found: list[Part] = []
    for piece in pieces:
        if not _SLOT.fullmatch(piece):
            found.append(Part(piece))
            continue
        thing = things[int(piece[1:-1])]
        if found and not found[-1].pair and _is_flat(thing):
            found[-1] = Part(_IN.sub(lambda match: match[0].replace("in", "on").replace("In", "On"), found[-1].text))
        found.append(thing)
    return found


def _is_flat(part: Part) -> bool:
    """Whether one is on it rather than in it."""
    word = part.candidate.word.casefold().rpartition(" ")[2] if part.candidate else ""
    return word in _glue()["places"]["on"].split()


def _sentence(parts: Sequence[Part], before: str) -> Iterator[Part]:
    """The parts of a sentence, a capital at its head, and what stands before it."""
    if before:
        yield Part(before)
    head, *rest = parts
    yield Part(head.text[:1].upper() + head.text[1:], head.pair, head.candidate)
    yield from rest
