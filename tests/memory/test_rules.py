"""Rules of one's own: what they mean, and what is said of those that cannot be read."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.memory.errors import RuleError
from nightfold.memory.rules import VERBS, Part, Rule
from nightfold.memory.symbols import Symbols

PIECES = st.tuples(
    st.sampled_from(VERBS), st.lists(st.sampled_from(["{a}", "{b}", "e", "s"]), min_size=1, max_size=2).map("".join)
).map(" ".join)


def meant(rule: Rule, word: str, a: str, b: str) -> bool:
    """Whether a word obeys a rule, by trying every place for every part."""
    if not rule.least <= len(word) <= rule.most:
        return False
    behinds = {0}
    for part in rule.parts:
        text = part.letters.replace("{a}", a).replace("{b}", b)
        places = [at for at in range(len(word) + 1) if word[at : at + len(text)] == text]
        match part.verb:
            case "without":
                behinds = set() if places else behinds
            case "starts":
                behinds = {len(text)} if behinds and 0 in places else set()
            case "ends":
                behinds = {len(word)} if behinds and len(word) - len(text) in places else set()
            case "has":
                behinds = {at + len(text) for at in places} if behinds else set()
            case "then":
                behinds = {at + len(text) for at in places for behind in behinds if at >= behind}
            case "next":
                behinds = {at + len(text) for at in places if at in behinds}
    return bool(behinds)


@given(st.lists(PIECES, min_size=1, max_size=4).map(", ".join), st.text("abes", max_size=7))
def test_a_rule_is_obeyed_if_every_part_has_its_place(text: str, word: str) -> None:
    try:
        rule = Rule.parse(text)
    except RuleError:
        assert not ({"{a}", "{b}"} <= set(re.findall(r"\{.\}", re.sub(r"without \S+", "", text)))) or re.match(
            r"(without \S+, )*(then|next)", text
        )
        return
    assert rule.obeyed(word, ("A", "B")) == meant(rule, word, "a", "b")
    assert (("A", "B") in set(rule.read(word, Symbols("AB")))) == meant(rule, word, "a", "b")
    assert Rule.parse(str(rule)) == rule


def test_examples() -> None:
    rule = Rule.parse("Starts {a},  then {b}, 3-6 letters")
    assert rule == Rule((Part("starts", "{a}"), Part("then", "{b}")), 3, 6)
    assert rule.obeyed("bread", ("B", "D")) and not rule.obeyed("breadth", ("B", "D"))
    assert str(rule) == "starts {a}, then {b}, 3-6 letters"
    assert str(Rule.parse("has {a}, next {b}, 5 letters")) == "has {a}, next {b}, 5 letters"
    assert Rule.parse("starts {a}, ends {b}e").obeyed("bottle", ("B", "L"))
    assert Rule.parse("starts {a}, then {b}").obeyed("chair", ("Ch", "Ai"))
    # The first place of the part before need not be the right one.
    assert Rule.parse("has {a}, next {b}").obeyed("babe", ("B", "E"))


BAD = {
    "": (1, "nothing at column 1 is no part of a rule; parts are starts, ends, has, then, next, without"),
    "begins {a}, ends {b}": (1, "“begins {a}” at column 1 is no part of a rule"),
    "starts {a},, ends {b}": (12, "nothing at column 12 is no part"),
    "starts {a}, ends": (13, "“ends” at column 13 of the rule is followed by nothing; it needs {a}, {b} or letters"),
    "starts {a}, ends {c}": (13, "“ends” at column 13 of the rule is followed by “{c}”"),
    "starts {a}, has {b}1": (13, "followed by “{b}1”"),
    "then {a}, ends {b}": (1, "“then” at column 1 of the rule follows nothing; begin with starts or has"),
    "without e, next {a}, ends {b}": (12, "“next” at column 12 of the rule follows nothing"),
    "starts {a}": (1, "the rule never asks for {b}, the second letter, so its words would not tell it"),
    "starts {b}, without {a}": (1, "the rule never asks for {a}, the first letter"),
    "starts {a}, ends {b}, 7-4 letters": (23, "“7-4 letters” at column 23 of the rule allows no word"),
    "starts {a}, ends {b}, 0 letters": (23, "allows no word"),
    "starts {a}, ends {b}, letters": (23, "“letters” at column 23 is no part of a rule"),
    "starts {a}, ends {b}" + " " * 200: (1, "the rule is longer than 200 characters"),
}


@pytest.mark.parametrize("text", BAD)
def test_bad_rules_are_told_with_their_place(text: str) -> None:
    column, said = BAD[text]
    with pytest.raises(RuleError, match=re.escape(said)) as trouble:
        Rule.parse(text)
    assert trouble.value.column == column


@given(st.text(max_size=60))
def test_any_text_is_a_rule_or_an_error(text: str) -> None:
    try:
        Rule.parse(text)
    except RuleError as trouble:
        assert str(trouble)
