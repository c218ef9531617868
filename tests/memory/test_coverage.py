"""The coverage of all pairs: figures, states, and words that are kept apart."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from nightfold.blind.lettering import Lettering, lettering_from, load_lettering
from nightfold.blind.method import load_method
from nightfold.memory.candidates import Finder, counted
from nightfold.memory.coverage import STATES, Coverage, cover
from nightfold.memory.occurring import pairs_of
from nightfold.memory.own import OwnWord, OwnWords, read_own, write_own
from nightfold.memory.symbols import pair_text
from tests.memory.finders import LETTERS, PAIRS, covered, finder
from tests.test_docs import DOCS, rows, section

METHOD, LETTERING = load_method("two-swap"), load_lettering()


def cover_with(*own: OwnWord, lettering: Lettering = LETTERING, language: str | None = None) -> Coverage:
    symbols = [symbol for orbit in lettering.symbols.values() for symbol in orbit.values()]
    return cover(Finder(symbols, language, own=OwnWords(own)), METHOD, lettering)


def test_every_pair_of_the_default_lettering_has_at_least_five_candidates() -> None:
    counts = counted(finder(), PAIRS)
    assert len(counts) == 24 * 23
    assert min(counts.values()) >= 5


def test_figures_on_the_page_are_those_computed() -> None:
    for named, enough, some in rows(section(DOCS / "words.md", "How many there are")):
        names = {"all": (), "all single words": ("opening", "consonants", "ends", "sounds")}.get(
            named, (named.strip("`"),)
        )
        counts = counted(finder(*names), PAIRS)
        assert int(enough) == sum(count >= 5 for count in counts.values()), named
        assert int(some) == sum(count > 0 for count in counts.values()), named


def test_no_two_pairs_have_near_identical_words() -> None:
    words = list(covered().words.items())
    assert len(words) == len({pair for pairs in pairs_of(METHOD, LETTERING).values() for pair in pairs}) > 462
    for (first, one), (second, other) in combinations(words, 2):
        assert not one.alike(other), f"{first} {one.word} and {second} {other.word}"


@given(st.lists(st.sampled_from(PAIRS), min_size=2, max_size=40, unique=True))
def test_any_pairs_are_kept_apart(pairs: list[tuple[str, ...]]) -> None:
    given_out = finder().assign(pairs)
    assert list(given_out) == pairs
    for (_, one), (_, other) in combinations(given_out.items(), 2):
        assert not one.candidate.alike(other.candidate)
        assert one.like == other.like == ()


def test_the_default_is_covered() -> None:
    for orbit, pairs in pairs_of(METHOD, LETTERING).items():
        counts = covered().counts(orbit)
        assert list(counts) == list(STATES)
        assert sum(counts.values()) == len(pairs) == len(covered().cells[orbit])
        assert counts["missing"] == counts["clashing"] == counts["own"] == 0
        assert counts["weak"] < 20
    # One pair has one word, in whatever orbit it comes.
    words = [{pair: cell.candidate for pair, cell in cells.items()} for cells in covered().cells.values()]
    assert all(words[0][pair] == words[1][pair] for pair in words[0].keys() & words[1].keys())


def test_own_words_come_first_and_suggestions_keep_away_from_them() -> None:
    taken = covered().words[("L", "S")].word
    found = cover_with(OwnWord("HT", taken, "object", "the one in the shed"))
    cell = found.cells["edges"]["H", "T"]
    assert (cell.state, cell.candidate and cell.candidate.note) == ("own", "the one in the shed")
    other = found.words[("L", "S")]
    assert other.word != taken and cell.candidate and not other.alike(cell.candidate)
    assert [found.counts(orbit)["own"] for orbit in found.cells] == [1, 1]


def test_weak_and_clashing_own_words() -> None:
    found = cover_with(OwnWord("LS", "lighthouse", strength=0.1), OwnWord("PG", "sofa"), OwnWord("GP", "couch"))
    cells = {pair_text(pair): cell for cells in found.cells.values() for pair, cell in cells.items()}
    assert cells["LS"].state == "weak"
    assert (cells["PG"].state, cells["PG"].like) == ("clashing", (("G", "P"),))
    assert (cells["GP"].state, cells["GP"].like) == ("clashing", (("P", "G"),))


def test_symbols_without_words_are_missing() -> None:
    table = {face: " ".join(f"{face}{at}" for at in range(4)) for face in "ULFRBD"}
    lettering = lettering_from({"name": "numbers", "every-orbit": table}, 3, "numbers")
    found = cover_with(OwnWord("L0·F1", "loft"), lettering=lettering)
    assert found.counts("edges") == {"own": 1, "suggestion": 0, "weak": 0, "clashing": 0, "missing": 461}
    assert found.cells["edges"][("L0", "F1")].candidate is not None
    assert found.cells["edges"][("F1", "L0")].candidate is None


def test_greek() -> None:
    found = cover_with(lettering=load_lettering("greek"))
    assert found.language == "el"
    assert sum(found.counts(orbit)["missing"] for orbit in found.cells) == 0


def test_one_orbit_alone() -> None:
    found = cover(finder(), METHOD, LETTERING, ("corners",))
    assert list(found.cells) == list(found.letters) == ["corners"]
    assert found.cells["corners"] == covered().cells["corners"]


def test_the_words_can_be_kept_and_read_again() -> None:
    kept = covered().as_own()
    read = read_own(write_own(kept))
    assert sorted(read.all, key=repr) == sorted(kept, key=repr)
    again = cover(Finder(LETTERS, own=read), METHOD, LETTERING)
    assert {pair: one.word for pair, one in again.words.items()} == {p: one.word for p, one in covered().words.items()}
    assert all(again.counts(orbit)["own"] == len(again.cells[orbit]) for orbit in again.cells)


def test_data() -> None:
    data = covered().to_dict()
    for orbit in data["orbits"]:
        assert Counter(cell["state"] for cell in orbit["pairs"]) == Counter(orbit["counts"])
        assert {cell["pair"][0] for cell in orbit["pairs"]} == set(orbit["letters"])
