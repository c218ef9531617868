"""Phrases that link the words of a memo in order, and syllables for those who would rather hear it.

Every word of a phrase that tells a pair is one of the pair's candidates, a verb perhaps in the form ``paints`` or
``painting``; whatever stands between is from ``phrases.toml``.  The sentences are English.  The same memo with the same
words gives the same phrase.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from nightfold.memory.candidates import Candidate, Finder
from nightfold.memory.errors import WordsError
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
#: The kinds of words that do something, those that are told first.
_ACTORS = ("person", "animal")
_SLOT = re.compile(r"(\{\w+\})")


@dataclass(frozen=True, slots=True)
class Part:
    """A piece of a phrase: words in between (no pair), or the word of a pair, as it is written there."""

    text: str
    pair: Pair = ()
    candidate: Candidate | None = None


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
            raise WordsError(f"“{part[:40]}” must be an orbit, =, and a style, as in {orbits[0]}=story")
        usual[orbit] = _style(style)
    return usual


def _style(text: str) -> str:
    name = text.strip().casefold()
    if name not in STYLES:
        raise WordsError(f"“{text[:32]}” is no style of phrases; styles are {', '.join(STYLES)}")
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
            raise WordsError(f"“{place[:24]}” is no place of a route: it is too long or cannot be shown")
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
        if style == "route":
            sentences = self._route(pairs, places)
        elif style == "story":
            sentences = self._story(pairs)
        else:
            sentences = self._deeds(pairs)
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

    def _story(self, pairs: Sequence[Pair]) -> Iterator[list[Part]]:
        glue = _glue()["story"]
        for number, some in enumerate(_taken(pairs, 2)):
            things = [self._thing(pair) for pair in some]
            yield _filled(glue["two"][number % len(glue["two"])] if len(things) == 2 else glue["one"], things)

    def _route(self, pairs: Sequence[Pair], places: Sequence[str]) -> Iterator[list[Part]]:
        glue = _glue()["route"]
        for place, some in zip(places, _spread(pairs, len(places)), strict=False):
            form = glue[("one", "two", "three")[len(some) - 1]]
            yield _filled(form.replace("{place}", _plain(place)), [self._thing(pair) for pair in some])

    def _deeds(self, pairs: Sequence[Pair]) -> Iterator[list[Part]]:
        glue = _glue()["person-action-object"]
        for some in _taken(pairs, 3):
            actor = self._actor(some[0]) if len(some) > 1 else self._thing(some[0])
            if len(some) == 1:
                yield _filled(glue["one"], [actor])
                continue
            # The deed at the end of two needs nothing it is done to.
            deed = self._deed(some[1], "ti" if len(some) == 3 else "i")
            if len(some) == 2:
                yield _filled(glue["two" if deed else "two-no-deed"], [actor, deed or self._thing(some[1])])
                continue
            thing = self._thing(some[2])
            if deed is None:
                yield _filled(glue["no-deed"], [actor, self._thing(some[1]), thing])
                continue
            verb = deed.candidate.entries[0].verb if deed.candidate and deed.candidate.entries else "t"
            yield _filled(glue["to" if verb == "t" else "beside"], [actor, deed, thing])

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
            if one.own or one.kind not in ("action", "quality"):
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
        some = [one for one in self.finder.suggestions(pair) if one.pattern != TWO_WORDS and not one.weak]
        actors = [one for kind in _ACTORS for one in some if one.kind == kind]
        return Part(_with_article(actors[0]), pair, actors[0]) if actors else self._thing(pair)

    def _deed(self, pair: Pair, verbs: str) -> Part | None:
        """The pair as something that is done; None if it has no verb of these kinds, or an own word that is none."""
        for one in self.finder.own_words(pair):
            return Part(third_person(one.word), pair, one) if _is_deed(one) else None
        spare = None
        for one in self.finder.suggestions(pair):
            verb = one.entries[0].verb if len(one.entries) == 1 else ""
            if verb and verb in verbs:
                if one.kind == "action":
                    return Part(third_person(one.word), pair, one)
                spare = spare or one
        return Part(third_person(spare.word), pair, spare) if spare else None


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


def _plain(place: str) -> str:
    """A place without braces, which stand for pairs in a sentence."""
    return place.replace("{", "(").replace("}", ")")


def _filled(form: str, things: Sequence[Part]) -> list[Part]:
    """A sentence with the words of pairs put in."""
    pieces = [piece for piece in _SLOT.split(form) if piece]
    return [things[int(piece[1:-1])] if _SLOT.fullmatch(piece) else Part(piece) for piece in pieces]


def _sentence(parts: Sequence[Part], before: str) -> Iterator[Part]:
    """The parts of a sentence, a capital at its head, and what stands before it."""
    if before:
        yield Part(before)
    head, *rest = parts
    yield Part(head.text[:1].upper() + head.text[1:], head.pair, head.candidate)
    yield from rest
