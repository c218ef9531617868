"""Making ``data/kinds-en.tsv``: what English words are pictures of, as WordNet tells it.

Run by hand, ``python -m nightfold.memory.from_wordnet FOLDER``, with the folder that holds WordNet's own files
(``data.noun``, ``index.noun``, ``cntlist.rev`` …, version 3.0); the package itself only reads what comes out.

A line gives a word, its kind (``none`` for a name or an irregular form that people have rated, which is no picture of
its own), whether it is also a verb (``t`` where something can be done to something, ``i``
otherwise) and a number that words for the same thing share: the set of synonyms of its commonest picturable sense.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
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
    thing: int


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


def described(word: str, senses: Iterable[Sense], concreteness: float | None) -> Word:
    """One line: the kind of picture a word is, by its commonest senses and how concrete people find it.

    A word that is both thing and deed, as *bear* is, is the thing where people find it concrete; else whichever was
    met more often.
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
    if main == "n":
        sense = _picture(by_pos["n"], concreteness)
        kind = NOUN_FILES.get(sense.file, "action" if verb else "idea")
    else:
        sense = by_pos[main][0]
        kind = {"v": "action", "a": "quality"}[main]
    return Word(word, kind, verb, sense.synset)


def _picture(nouns: list[Sense], concreteness: float | None) -> Sense:
    """The noun sense people have in mind: the first, but for a concrete word the first that can be seen.

    Meat and leather are listed before the animal they are of, which is what one sees.
    """
    if concreteness is None or concreteness < CONCRETE - 0.5:
        return nouns[0]
    seen = next((sense for sense in nouns[:4] if sense.file in NOUN_FILES), nouns[0])
    if NOUN_FILES.get(seen.file) in ("food", "stuff"):
        return next((sense for sense in nouns[:3] if NOUN_FILES.get(sense.file) == "animal"), seen)
    return seen


def useful(senses: Mapping[str, list[Sense]], forms: Collection[str] = ()) -> Iterator[Word]:
    """The words worth a line: not too rare, and concrete as far as anybody rated them.

    Rated words that are mostly names, and those among the irregular ``forms``, get a line of kind ``none``.
    """
    import wordfreq

    rated = ratings()
    for word in sorted({*senses, *(form for form in forms if form in rated)}):
        known = senses.get(word, [])
        plain = [sense for sense in known if not sense.name]
        rating = rated.get(word)
        frequency = wordfreq.zipf_frequency(word, "en")
        named = any(sense.name and (sense.file == PLACE_NAMES or not rating) for sense in known)
        # How often such a word is met tells of the name.
        named &= not any(sense.count for sense in plain) and (frequency > NAMED or not rating)
        if not plain or named:
            if rating:
                yield Word(word, "none", "", 0)
            continue
        if frequency < (RAREST if rating else RAREST_UNRATED) or (rating and rating.concreteness < VAGUEST):
            continue
        found = described(word, plain, rating.concreteness if rating else None)
        if rating or found.kind in NOUN_FILES.values():
            yield found


def irregular(folder: Path) -> set[str]:
    """The irregular plurals of nouns."""
    return {line.split()[0] for line in (folder / "noun.exc").read_text("utf-8").splitlines() if line.strip()}


def written(words: Iterable[Word], licence: str) -> str:
    """The file: the licence as comments, then a line a word; a thing that no other word names gets no number."""
    some = list(words)
    shared: dict[int, int] = defaultdict(int)
    for one in some:
        shared[one.thing] += one.kind != "none"
    numbers = {thing: number for number, thing in enumerate(sorted(t for t, n in shared.items() if n > 1), 1)}
    head = "".join(f"# {line}".rstrip() + "\n" for line in licence.splitlines())
    body = "".join(f"{one.word}\t{one.kind}\t{one.verb}\t{numbers.get(one.thing, '')}\n" for one in some)
    return head + body


def _licence(folder: Path) -> str:
    """WordNet's own licence, from the head of one of its files, and what was made of them."""
    with (folder / "data.noun").open(encoding="utf-8") as file:
        lines = [line.lstrip().partition(" ")[2].rstrip() for line in file if line.startswith("  ")]
    said = "Made from WordNet 3.0 by nightfold.memory.from_wordnet: word, kind of picture, verb, synonyms' number."
    return "\n".join([said, "", *lines])


def main(arguments: list[str]) -> None:
    """Write the file anew from the folder given."""
    folder = Path(arguments[0])
    to = Path(__file__).parent / "data" / "kinds-en.tsv"
    to.write_text(written(useful(read_wordnet(folder), irregular(folder)), _licence(folder)), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
