"""Making the file of kinds, from a small set of files in WordNet's own form; and the file that comes along."""

from __future__ import annotations

from pathlib import Path

import pytest

import nightfold.memory
from nightfold.memory.from_wordnet import (
    Word,
    described,
    irregular,
    kinds_by_hand,
    main,
    read_wordnet,
    useful,
    with_steps,
    written,
)
from nightfold.memory.lexicon import KINDS

HEAD = "  1 This software and database is being provided to you, the LICENSEE\n  2 Permission to use\n"
#: offset, file of nouns, words, what is more general
NOUNS = [
    (100, 6, "building edifice", None),
    (110, 6, "castle palace", 100),
    (120, 5, "bear", None),
    (130, 13, "lamb", None),
    (140, 5, "lamb", None),
    (150, 6, "couch sofa", None),
    (160, 15, "Japan", None),
    (170, 6, "japan", None),
    (180, 5, "goose", None),
    (190, 18, "baker", None),
    (191, 18, "fireman", None),
    (200, 6, "truck", None),
    (201, 6, "lorry", 200),
    (210, 18, "tiger", None),
    (211, 5, "tiger", None),
    (220, 10, "letter", None),
    (221, 18, "letter", None),
]
#: offset, words, frames
VERBS = [(400, "bear carry", (8, 9)), (410, "dance", (2,))]
INDEX = {
    "noun": {
        **{"building": [100], "edifice": [100], "castle": [110], "palace": [110], "bear": [120], "lamb": [130, 140]},
        **{"couch": [150], "sofa": [150], "japan": [160, 170], "goose": [180], "baker": [190]},
        **{"fireman": [191], "truck": [200], "lorry": [201], "tiger": [210, 211], "letter": [220, 221]},
    },
    "verb": {"bear": [400], "carry": [400], "dance": [410]},
    "adj": {"lazy": [300]},
}
COUNTS = [
    "goose%1:05:00:: 1 3",
    "bear%2:29:01:: 1 17",
    "carry%2:29:01:: 1 60",
    "bear%1:05:00:: 1 1",
    "dance%2:38:01:: 1 9",
    "lazy%3:00:00:: 1 4",
]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small WordNet."""

    def words(text: str) -> str:
        some = text.split()
        return f"{len(some):02x} " + " ".join(f"{word} 0" for word in some)

    nouns = [
        f"{offset:08d} {file:02d} n {words(text)} "
        + (f"001 @ {above:08d} n 0000" if above else "000")
        + " | gloss | more"
        for offset, file, text, above in NOUNS
    ]
    verbs = [
        f"{offset:08d} 29 v {words(text)} 000 {len(frames):02d} "
        + " ".join(f"+ {frame:02d} 00" for frame in frames)
        + " | x"
        for offset, text, frames in VERBS
    ]
    for name, lines in (("noun", nouns), ("verb", verbs), ("adj", ["00000300 00 a 01 lazy(a) 0 000 | slow"])):
        (tmp_path / f"data.{name}").write_text(HEAD + "\n".join(lines) + "\n")
        index = [
            f"{word} {name[0]} {len(at)} 1 @ {len(at)} 0 " + " ".join(f"{one:08d}" for one in at) + "  "
            for word, at in INDEX[name].items()
        ]
        (tmp_path / f"index.{name}").write_text(HEAD + "\n".join(index) + "\n")
    (tmp_path / "cntlist.rev").write_text("\n".join(COUNTS) + "\n")
    (tmp_path / "noun.exc").write_text("geese goose\nchildren child\n")
    (tmp_path / "verb.exc").write_text("bore bear\nborne bear\n")
    return tmp_path


def test_kinds_and_verbs(folder: Path) -> None:
    senses = read_wordnet(folder)
    assert described("bear", senses["bear"], 4.88) == Word("bear", "animal", "t", (120, 400))
    assert described("bear", senses["bear"], 3.0) == Word("bear", "action", "t", (400,))
    assert described("castle", senses["castle"], 4.9) == Word("castle", "place", "", (110,))
    assert described("lamb", senses["lamb"], 4.9).kind == "animal"  # though its meat is listed first
    assert described("dance", senses["dance"], 4.0) == Word("dance", "action", "i", (410,))
    # Neither a person that is like one, though listed first, nor one who lets rooms.
    assert described("tiger", senses["tiger"], 5.0).kind == "animal"
    assert described("letter", senses["letter"], 4.7).kind == "object"
    assert described("letter", senses["letter"], 4.7, "idea").kind == "idea"
    assert described("lazy", senses["lazy"], 2.9).kind == "quality"


def test_names_and_forms_are_no_pictures(folder: Path) -> None:
    forms = irregular(folder)
    assert forms == {"geese": "goose", "children": "child", "bore": "bear", "borne": "bear"}
    found = {one.word: one for one in useful(read_wordnet(folder), forms, {"oddity": "idea", "baker": "object"})}
    assert found["japan"].kind == "none"
    assert (found["geese"].kind, found["geese"].form_of) == ("none", "goose")
    assert found["firemen"].form_of == "fireman"
    assert found["baker"].kind == "object"  # what is told by hand counts
    found = {one.word: one for one in useful(read_wordnet(folder), forms)}
    assert found["baker"].kind == "person"
    assert "lazy" not in found  # too vague a picture


def test_words_for_one_thing_share_a_number(folder: Path) -> None:
    words = with_steps(useful(read_wordnet(folder)), {201: [200], 110: [100]})
    text = written(words, "Some licence\n\nto keep")
    split = ((line + "\t" * 4).split("\t") for line in text.splitlines() if not line.startswith("#"))
    lines = {fields[0]: fields for fields in split}
    assert text.startswith("# Some licence\n#\n# to keep\n")
    assert lines["sofa"][3] == lines["couch"][3] != ""
    assert lines["castle"][3] == lines["palace"][3] not in ("", lines["sofa"][3])
    assert lines["baker"][3] == ""
    # A step that is a little more general is shared, one that many share is not.
    assert lines["lorry"][3] == lines["truck"][3] != ""
    many = [Word("truck", "object", "", (200,)), *(Word(f"w{at}", "object", "", (at,)) for at in range(9))]
    assert with_steps(many, {at: [200] for at in range(9)}) == many


def test_the_whole(folder: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    import nightfold.memory.from_wordnet as module

    to = tmp_path_factory.mktemp("package")
    (to / "data").mkdir()
    (to / "kinds-by-hand.toml").write_text('object = "baker"\n')
    monkeypatch.setattr(module, "__file__", str(to / "from_wordnet.py"))
    main([str(folder)])
    text = (to / "data" / "kinds-en.tsv").read_text("utf-8")
    assert "# This software and database is being provided to you, the LICENSEE\n" in text
    assert "\nbaker\tobject\n" in text


def test_the_file_that_comes_along() -> None:
    text = (Path(nightfold.memory.__file__).parent / "data" / "kinds-en.tsv").read_text("utf-8")
    assert "WordNet 3.0 Copyright 2006 by Princeton University.  All rights reserved." in text
    rows = [(line + "\t" * 4).split("\t")[:5] for line in text.splitlines() if not line.startswith("#")]
    assert len(rows) > 10_000
    assert [row[0] for row in rows] == sorted({row[0] for row in rows})
    for word, kind, verb, things, form_of in rows:
        assert word.isalpha() and word.isascii() and word.islower()
        assert kind in (*KINDS, "none") and verb in ("", "t", "i")
        assert all(thing.isdigit() for thing in things.split())
        assert not form_of or (kind == "none" and form_of.isalpha())
    assert len(text) < 350_000
    told = {row[0]: row[1] for row in rows}
    assert {word: told[word] for word, kind in kinds_by_hand().items() if word in told} == {
        word: kind for word, kind in kinds_by_hand().items() if word in told
    }
