"""Making ``data/kinds-en.tsv``: what English words are pictures of, as WordNet tells it.

Run by hand, ``python -m nightfold.memory.from_wordnet FOLDER``, with the folder that holds WordNet's own files
(``data.noun``, ``index.noun``, ``cntlist.rev`` …, version 3.0); the package itself only reads what comes out.

A line gives a word, its kind (``none`` for a name or an irregular form, which is no picture of its own), whether it is
also a verb (``t`` where something can be done to something, ``i`` otherwise), numbers that it shares with words for
the same thing (sets of synonyms of its commonest senses, and the step to what is only a little more general) and, for
an irregular form, the word it is a form of.  Where the counts of WordNet are too few to tell the sense people have in
mind, ``kinds-by-hand.toml`` has the last word.
"""

from __future__ import annotations

import sys
import tomllib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from nightfold.memory.ratings import ratings

#: WordNet's files of nouns by what they are about, and our kind for each; what is missing here is an idea.
NOUN_FILES = {
    5: "animal",
    6: "object",
    8: "body",
    13: "food",
    15: "place",
    17: "nature",
    18: "person",
    19: "nature",
    20: "plant",
    27: "stuff",
}
#: Files of what is written, said or owned: a thing where people find the word concrete, as a letter or a ticket.
SIGN_FILES = frozenset((10, 21))
#: What each sense of a word counts for beside how often it was met in texts: WordNet has the commonest first.
BY_RANK = (2.0, 0.8, 0.4, 0.2)
#: A person is often named after something else, as a tiger or a mug; met less often than this it is the other thing.
NAMED_AFTER = 4.0
#: Senses up to this one make a word the same picture as another, and the next few if they were met so often.
SAME_SENSES, SAME_COUNT = 2, 1
#: A more general word is the same picture as those below it if they are so few.
BELOW = 6
#: WordNet's file in which a capital is the name of some place; words met oftener than this are then mostly that name.
PLACE_NAMES, NAMED = 15, 4.0
#: Things made by people that one can be in: whatever WordNet counts among these is a place.
PLACES = ("building", "room", "establishment", "housing", "way", "area", "facility", "bridge", "playing_field")
#: Frames that say that a verb is done to something or somebody.
TRANSITIVE = frozenset((8, 9, 10, 11))
#: From this concreteness on a word is taken for the thing it names even where it is more often a verb.
CONCRETE = 4.3
#: Words rarer than this (per billion, as a power of ten; the second for words that nobody rated), and less concrete
#: than that, are of no use for pictures.
RAREST, RAREST_UNRATED, VAGUEST = 1.5, 2.6, 2.8


@dataclass(frozen=True, slots=True)
class Sense:
    """One sense of a word: its part of speech, WordNet's file, its set of synonyms, how often it was counted.

    ``name`` tells that the word is written with a capital in this sense.
    """

    pos: str
    file: int
    synset: int
    count: int
    frames: frozenset[int] = frozenset()
    name: bool = False


@dataclass(frozen=True, slots=True)
class Word:
    """What a line of the file says."""

    word: str
    kind: str
    verb: str
    things: tuple[int, ...] = ()
    form_of: str = ""


def read_wordnet(folder: Path) -> dict[str, list[Sense]]:
    """Every word of plain letters with its senses, commonest first within a part of speech.

    Raises OSError when a file is missing.
    """
    counts = _counts(folder)
    senses: dict[str, list[Sense]] = defaultdict(list)
    for pos, name in (("n", "noun"), ("v", "verb"), ("a", "adj")):
        data = dict(_records(folder / f"data.{name}"))
        parents = _parents(data) if pos == "n" else {}
        places = _places(data, parents) if pos == "n" else frozenset()
        for line in _lines(folder / f"index.{name}"):
            fields = line.split()
            word, offsets = fields[0], [int(at) for at in fields[-int(fields[2]) :]]
            if not _plain(word):
                continue
            for number, offset in enumerate(offsets, 1):
                written = {one.partition("(")[0] for one in data[offset][4::2][: int(data[offset][3], 16)]}
                file = 15 if offset in places else int(data[offset][1])
                count = counts.get((word, pos, number), 0)
                frames = _frames(data[offset]) if pos == "v" else frozenset()
                senses[word].append(Sense(pos, file, offset, count, frames, word not in written))
    return senses


def _lines(path: Path) -> Iterator[str]:
    """The lines of a file without the licence, which stands indented at its head."""
    with path.open(encoding="utf-8") as file:
        yield from (line for line in file if not line.startswith(" "))


def _records(path: Path) -> Iterator[tuple[int, list[str]]]:
    for line in _lines(path):
        fields = line.partition(" | ")[0].split()
        yield int(fields[0]), fields


def _plain(word: str) -> bool:
    return word.isascii() and word.isalpha() and word.islower() and len(word) > 1


def _counts(folder: Path) -> dict[tuple[str, str, int], int]:
    """How often each sense was met in texts whose senses were told by hand."""
    part = {"1": "n", "2": "v", "3": "a", "5": "a"}
    found: dict[tuple[str, str, int], int] = {}
    for line in (folder / "cntlist.rev").read_text("utf-8").splitlines():
        key, number, count = line.split()
        word, _, rest = key.partition("%")
        if rest[0] in part:
            found[word, part[rest[0]], int(number)] = int(count)
    return found


def _parents(data: Mapping[int, list[str]]) -> dict[int, list[int]]:
    """The more general sets of synonyms above each set of nouns."""
    above: dict[int, list[int]] = {}
    for synset, fields in data.items():
        at = 4 + 2 * int(fields[3], 16)
        pointers = fields[at + 1 : at + 1 + 4 * int(fields[at])]
        kinds = zip(pointers[::4], pointers[1::4], pointers[2::4], strict=True)
        above[synset] = [int(other) for sign, other, pos in kinds if sign in ("@", "@i") and pos == "n"]
    return above


def _places(data: Mapping[int, list[str]], parents: Mapping[int, list[int]]) -> frozenset[int]:
    """Everything made by people that stands below one of ``PLACES``."""
    tops = {s for s, fields in data.items() if int(fields[1]) == 6 and fields[4] in PLACES}
    known: dict[int, bool] = dict.fromkeys(tops, True)

    def below(synset: int) -> bool:
        if synset not in known:
            known[synset] = False
            known[synset] = any(below(one) for one in parents[synset])
        return known[synset]

    return frozenset(synset for synset, fields in data.items() if int(fields[1]) == 6 and below(synset))


def _frames(fields: list[str]) -> frozenset[int]:
    """The numbers of a verb's frames, whatever word of the set they are for."""
    at = 4 + 2 * int(fields[3], 16)
    at += 1 + 4 * int(fields[at])
    return frozenset(int(fields[i + 1]) for i in range(at + 1, len(fields), 3)) if at < len(fields) else frozenset()


def described(word: str, senses: Iterable[Sense], concreteness: float | None, kind: str = "") -> Word:
    """One line: the ``kind`` of picture a word is; else told by its commonest senses and how concrete it is.

    A word that is both thing and deed, as *bear* is, is the thing where people find it concrete; else whichever was
    met more often.  Its things are the sets of synonyms it belongs to in its common senses, the main one first.
    """
    by_pos: dict[str, list[Sense]] = defaultdict(list)
    for sense in senses:
        by_pos[sense.pos].append(sense)
    total = {pos: sum(sense.count for sense in some) + 0.5 / (1 + "nva".index(pos)) for pos, some in by_pos.items()}
    main = max(total, key=lambda pos: total[pos])
    if "n" in by_pos and concreteness is not None and concreteness >= CONCRETE:
        main = "n"
    verbs = by_pos.get("v", [])
    # A verb that is hardly ever one is no deed that its word would call to mind.
    common = bool(verbs) and (main == "v" or total["v"] * 8 >= sum(total.values()))
    verb = ("t" if verbs[0].frames & TRANSITIVE else "i") if common else ""
    if main == "n" or (kind and kind not in ("action", "quality") and "n" in by_pos):
        kind = kind or noun_kind(by_pos["n"], concreteness)
        told = [sense for sense in by_pos["n"] if _kind(sense, concreteness) == kind] or by_pos["n"]
    else:
        kind, told = kind or {"v": "action", "a": "quality"}[main], by_pos[main]
    same = [s.synset for at, s in enumerate(told[:5]) if at < SAME_SENSES or s.count >= SAME_COUNT]
    if common and main != "v":
        same.append(verbs[0].synset)
    return Word(word, kind, verb, tuple(dict.fromkeys(same)))


def _kind(sense: Sense, concreteness: float | None) -> str:
    """What one sense of a noun is a picture of."""
    if sense.file in SIGN_FILES and concreteness is not None and concreteness >= CONCRETE:
        return "object"
    return NOUN_FILES.get(sense.file, "idea")


def noun_kind(nouns: Sequence[Sense], concreteness: float | None) -> str:
    """The kind of picture of a noun: that of the senses most often met, earlier ones counting more.

    A word people find concrete is something that can be seen; meat and fruit are listed apart from the animal or the
    plant they are of.
    """
    sums: dict[str, float] = defaultdict(float)
    for sense, rank in zip(nouns, (*BY_RANK, *([0.0] * len(nouns))), strict=False):
        sums[_kind(sense, concreteness)] += sense.count + rank
    if concreteness is not None and concreteness >= CONCRETE - 0.3 and len(sums) > 1:
        sums.pop("idea", None)
    if 0 < sums.get("person", 0.0) < NAMED_AFTER and len(sums.keys() - {"person", "idea"}):
        sums["person"] *= 0.3
    for meat in ("food", "stuff"):
        if "animal" in sums and sums[meat] < 10:
            sums["animal"] = max(sums["animal"], sums[meat] + 0.1)
    if {"plant", "food"} <= sums.keys():
        sums["food"] += sums["plant"]
    return max(sums, key=lambda kind: sums[kind])


def useful(
    senses: Mapping[str, list[Sense]], forms: Mapping[str, str] | None = None, by_hand: Mapping[str, str] | None = None
) -> Iterator[Word]:
    """The words worth a line: not too rare, and concrete as far as anybody rated them.

    Rated words that are mostly names, and irregular ``forms`` of words, get a line of kind ``none``; ``by_hand`` gives
    the kinds of words that the rules get wrong.
    """
    import wordfreq

    rated, by_hand = ratings(), by_hand or {}
    # WordNet leaves these out, since one rule serves them all.
    forms = {f"{word[:-3]}men": word for word in senses if word.endswith("man") and len(word) > 3} | dict(forms or {})
    for word in sorted({*senses, *forms, *(word for word in by_hand if word in rated)}):
        known = senses.get(word, [])
        plain = [sense for sense in known if not sense.name]
        rating = rated.get(word)
        frequency = wordfreq.zipf_frequency(word, "en")
        if word in forms and word not in by_hand and not any(sense.pos == "n" for sense in plain):
            if frequency >= RAREST_UNRATED and (forms[word] in senses or rating):
                yield Word(word, "none", "", (), forms[word])
            continue
        named = any(sense.name and (sense.file == PLACE_NAMES or not rating) for sense in known)
        # How often such a word is met tells of the name.
        named &= not any(sense.count for sense in plain) and (frequency > NAMED or not rating)
        if (not plain or named) and by_hand.get(word, "none") == "none":
            if rating:
                yield Word(word, "none", "")
            continue
        if frequency < (RAREST if rating else RAREST_UNRATED) or (rating and rating.concreteness < VAGUEST):
            continue
        concreteness = rating.concreteness if rating else None
        found = described(word, plain, concreteness, by_hand.get(word, "")) if plain else Word(word, by_hand[word], "")
        if rating or found.kind in NOUN_FILES.values():
            yield found


def with_steps(words: Iterable[Word], parents: Mapping[int, Sequence[int]]) -> list[Word]:
    """The words, those told only a little more generally by another getting a number that both share.

    Sets of synonyms that have no word here are stepped over.  A word that has many below it, as *animal* has, is
    another picture than each of them.
    """
    some = list(words)
    heads: dict[int, list[int]] = defaultdict(list)
    for at, one in enumerate(some):
        if one.things and one.kind not in ("action", "quality", "none", "idea"):
            heads[one.things[0]].append(at)

    def above(synset: int, steps: int) -> Iterator[int]:
        for parent in parents.get(synset, ()):
            if parent in heads:
                yield parent
            elif steps:
                yield from above(parent, steps - 1)

    below: dict[int, list[int]] = defaultdict(list)
    for synset in heads:
        for parent in dict.fromkeys(above(synset, 1)):
            below[parent].append(synset)
    for parent, children in below.items():
        if len(children) > BELOW:
            continue
        for child in children:
            step = -(parent * 10**9 + child)
            for at in (*heads[parent], *heads[child]):
                some[at] = replace(some[at], things=(*some[at].things, step))
    return some


def irregular(folder: Path) -> dict[str, str]:
    """The irregular forms of nouns, then of verbs, and the words they are forms of."""
    found: dict[str, str] = {}
    for name in ("noun.exc", "verb.exc"):
        for line in (folder / name).read_text("utf-8").splitlines():
            fields = line.split()
            if len(fields) > 1 and _plain(fields[0]) and _plain(fields[1]) and fields[0] != fields[1]:
                found.setdefault(fields[0], fields[1])
    return found


def written(words: Iterable[Word], licence: str) -> str:
    """The file: the licence as comments, then a line a word; a thing that no other word names gets no number."""
    some = list(words)
    shared: dict[int, int] = defaultdict(int)
    for one in some:
        for thing in set(one.things):
            shared[thing] += 1
    numbers = {thing: number for number, thing in enumerate(sorted(t for t, n in shared.items() if n > 1), 1)}
    head = "".join(f"# {line}".rstrip() + "\n" for line in licence.splitlines())
    body = []
    for one in some:
        things = " ".join(str(number) for number in sorted({numbers[t] for t in one.things if t in numbers}))
        body.append("\t".join((one.word, one.kind, one.verb, things, one.form_of)).rstrip() + "\n")
    return head + "".join(body)


def _licence(folder: Path) -> str:
    """WordNet's own licence, from the head of one of its files, and what was made of them."""
    with (folder / "data.noun").open(encoding="utf-8") as file:
        lines = [line.lstrip().partition(" ")[2].rstrip() for line in file if line.startswith("  ")]
    said = (
        "Made from WordNet 3.0 by nightfold.memory.from_wordnet: word, kind of picture, verb, numbers shared by words"
        " for one thing, what it is a form of."
    )
    return "\n".join([said, "", *lines])


def kinds_by_hand() -> dict[str, str]:
    """The kinds of words that no rule gets right, by word."""
    table = tomllib.loads(Path(__file__).with_name("kinds-by-hand.toml").read_text("utf-8"))
    return {word: kind for kind, some in table.items() for word in some.split()}


def main(arguments: list[str]) -> None:
    """Write the file anew from the folder given."""
    folder = Path(arguments[0])
    to = Path(__file__).parent / "data" / "kinds-en.tsv"
    parents = _parents(dict(_records(folder / "data.noun")))
    words = with_steps(useful(read_wordnet(folder), irregular(folder), kinds_by_hand()), parents)
    to.write_text(written(words, _licence(folder)), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
