"""The filter: rude words and their forms stay out, and everything else stays in."""

from __future__ import annotations

import base64

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nightfold.memory.candidates import Finder
from nightfold.memory.lexicon import languages
from nightfold.memory.rude import forms_of, rude_filter
from tests.memory.finders import LETTERS, PAIRS, finder

RUDE = ["shit", "bullshit", "penis", "whore", "slut", "tit", "piss", "fart", "nazi", "gypsy"]
FORMS = ["tits", "pissing", "pissed", "farts", "farted", "raped", "raping", "bitches", "bitchy", "pansies", "nazis"]
FINE = [
    "bread",
    "cockpit",
    "cocktail",
    "title",
    "peacock",
    "bass",
    "grape",
    "scatter",
    "butter",
    "hello",
    "spicy",
    "pass",
]


@pytest.mark.parametrize("word", RUDE + FORMS)
def test_rude_words_and_their_forms(word: str) -> None:
    assert rude_filter("en").is_rude(word)


@pytest.mark.parametrize("word", FINE)
def test_words_that_only_look_like_rude_ones(word: str) -> None:
    assert not rude_filter("en").is_rude(word)


def test_every_listed_word_is_rude_in_every_form() -> None:
    found = rude_filter("en")
    plain = [word for word in found.words if word.isalpha() and word not in found.fine]
    assert len(plain) > 1000
    assert all(found.is_rude(word) for word in plain)


@given(st.sampled_from(RUDE), st.sampled_from(["s", "ed", "ing", "es"]))
def test_forms(word: str, ending: str) -> None:
    assert word + ending in set(forms_of(word))
    assert set(forms_of("hop")) >= {"hop", "hops", "hopping", "hopped"}
    assert set(forms_of("bake")) >= {"bakes", "baked", "baking"}
    assert set(forms_of("pity")) >= {"pities", "pitied", "pitying"}


def test_no_candidate_of_any_pair_is_rude() -> None:
    rude = rude_filter("en")
    found = [one for pair in PAIRS for one in finder().of(pair, 30)]
    assert len(found) > 10_000
    for one in found:
        words = one.word.split()
        assert not any(rude.is_rude(word) for word in words), one.word
        assert len(words) == 1 or not rude.is_rude_before(words[0]), one.word


def test_the_filter_can_be_turned_off() -> None:
    rude = rude_filter("en")
    through = finder(rude=True)
    found = {one.word for pair in PAIRS for one in through.of(pair, 60) if any(map(rude.is_rude, one.word.split()))}
    assert len(found) > 50
    assert len(through.lexicon.entries) == len(finder().lexicon.entries)


def test_own_words_are_ones_own_business() -> None:
    from nightfold.memory.own import OwnWord, OwnWords

    with_own = Finder(LETTERS, own=OwnWords([OwnWord("PS", "piss")]))
    assert with_own.of(("P", "S"))[0].word == "piss"


def test_qualities_that_make_a_thing_rude() -> None:
    rude = rude_filter("en")
    assert rude.is_rude_before("naked") and rude.is_rude_before("stiff")
    assert not rude.is_rude("stiff") and not rude.is_rude_before("golden")


#: Usual swear words and slurs, from memory, in base64 so that nobody has to read them: English ones that are met in
#: every language, and those of each language that is written in Latin or Cyrillic letters.
EVERYWHERE = "c2hpdCBmdWNrIHNleCBwb3JuIHh2aWRlb3MgaGl0bGVyIG5hemkgeHh4IGhlbnRhaSBzZXhkYXRlIHNleGZpbG0="
HARD = {
    "de": (
        "YXJzY2hsb2NoIGZvdHplIGZpY2tlbiBnZWZpY2t0IHNjaGxhbXBlIHdpY2hzZXIgdGl0dGVuIGh1cmVuc29obiBuZWdlciB6aWdl"
        "dW5lciBzY2hlacOfZSBzZWxic3Rtb3JkIHZlcmdld2FsdGlndW5n"
    ),
    "fr": (
        "bmlxdWUgbmlxdWVyIG1lcmRlIHB1dGFpbiBzYWxvcGUgZW5jdWzDqSBjb3VpbGxlcyBiaXRlIGNoYXR0ZSBww6lkw6kgbsOoZ3JlIHZpb2w="
    ),
    "es": (
        "aGRwIHB1dGEgbWllcmRhIGpvZGVyIGNvw7FvIHBvbGxhIGNhYnLDs24gbWFyaWPDs24gZm9sbGFyIHRldGFzIHZpb2xhY2nDs24g"
        "cGVuZGVqbw=="
    ),
    "it": (
        "Y2F6em8gbWVyZGEgc3Ryb256byBwdXR0YW5hIHRyb2lhIGN1bG8gZmljYSBjb2dsaW9uZSBtaW5jaGlhIHZhZmZhbmN1bG8gZnJv"
        "Y2lvIHN0dXBybw=="
    ),
    "pt": ("YnVjZXRhIGNhcmFsaG8gcG9ycmEgZm9kYSBwdXRhIG1lcmRhIHZpYWRvIGN1IGJ1bmRhIHB1bmhldGEgZXN0dXBybw=="),
    "nl": ("a3V0IGx1bCBuZXVrZW4gaG9lciB0aWV0ZW4ga2xvb3R6YWsga2Fua2VyIGZsaWtrZXIgbmVnZXIgdmVya3JhY2h0IHplbGZtb29yZA=="),
    "sv": ("Zml0dGEga3VrIGtudWxsYSBob3JhIGrDpHZsYSBza2l0IGLDtmcgbmVnZXIgcnVua2EgdsOlbGR0w6RrdA=="),
    "da": ("Zmlzc2Uga25lcHBlIGx1ZGVyIHLDuHYgbmVnZXIgcGlrIHZvbGR0w6ZndA=="),
    "nb": ("Zml0dGUga3VrayBrbnVsbGUgaG9yZSBqw6Z2bGEgbmVnZXIgcsOmdiB2b2xkdGVrdA=="),
    "is": ("cMOta2EgcsOtw7BhIGjDs3JhIGhlbHbDrXRpcyByYXNzZ2F0"),
    "ca": ("Y29ueSBjb2xsb25zIHB1dGEgbWVyZGEgcG9sbGEgZm9sbGFyIG1hcmljw7M="),
    "ro": ("cHVsYSBwaXpkYSBmdXR1dCBtdWllIGN1cnZhIGPEg2NhdCB0w6JyZsSD"),
    "hu": ("ZmFzeiBrdXJ2YSBnZWNpIHBpY3NhIGJhc3pkIHNlZ2cgc3phciBidXpp"),
    "fi": ("dml0dHUgcGVyc2Uga3lycMOkIGh1b3JhIHBhc2thIHBpbGx1IG5lZWtlcmkgcmFpc2thdXM="),
    "cs": ("a3VydmEgcMOtxI1hIGtva290IG1yZGF0IHByZGVsIGhvdm5vIMSNdXLDoWsgamViYXQ="),
    "sk": ("a3VydmEgcGnEjWEga29rb3QgamViYcWlIGhvdm5vIMSNdXLDoWs="),
    "sl": ("a3VyYWMgcGl6ZGEga3VyYmEgamViYXRpIGRyZWsgcGVkZXI="),
    "sh": ("a3VyYWMgcGl6ZGEgcGnEjWthIGplYmF0aSBnb3ZubyBrdXJ2YSBwZWRlcg=="),
    "pl": ("Y2h1aiBkdXBhIGt1cndhIHBpemRhIGplYmHEhyBwaWVyZG9sacSHIGNpcGEgZ8Ozd25vIHNrdXJ3eXN5biB6Z3dhxYJjacWC"),
    "lt": ("a3VydmEgcGl6ZGEgYnliaXMgxaHFq2RhcyDFoWlrbmEgcHJpZXZhcnRhdmltYXM="),
    "lv": ("a3VydmEgcGl6ZGEgbWF1a2Egc8WrZHMgZGlyc2E="),
    "tr": ("YW1rIHNpayBvcm9zcHUgZ8O2dCB5YXJyYWsgcGnDpyBpYm5lIHRlY2F2w7x6"),
    "vi": ("xJHhu4t0IGzhu5NuIGPhurdjIMSRxKk="),
    "id": ("a29udG9sIG1lbWVrIG5nZW50b3QgYmFuZ3NhdCBib2tlcA=="),
    "ms": ("cHVraSBwYW50YXQgcGVsYWN1ciByb2dvbCBiYWJp"),
    "fil": ("cHV0YSBwdXRhbmdpbmEgZ2FnbyBrYW50b3QgdGFyYW50YWRv"),
    "ru": (
        "0YXRg9C5INC/0LjQt9C00LAg0LXQsdCw0YLRjCDQsdC70Y/QtNGMINGB0YPQutCwINC20L7Qv9CwINCz0L7QstC90L4g0LzRg9C0"
        "0LDQuiDQv9C40LTQvtGAINCz0LjRgtC70LXRgCDQv9C+0YDQvdC+INGB0LXQutGB"
    ),
    "uk": (
        "0YXRg9C5INC/0LjQt9C00LAg0LHQu9GP0LTRjCDQutGD0YDQstCwINC20L7Qv9CwINCz0ZbQstC90L4g0LPRltGC0LvQtdGAINC/"
        "0L7RgNC90L4="
    ),
    "bg": ("0L/Rg9GC0LrQsCDQutGD0YDQstCwINC70LDQudC90L4g0LPRitC3INC10LHQsCDQv9C10LTQsNC7INGF0LjRgtC70LXRgA=="),
    "mk": ("0L/QuNGH0LrQsCDQutGD0YDQstCwINC60YPRgCDQs9C+0LzQvdC+INC10LHQsNC8INC/0LXQtNC10YA="),
}


def hard(text: str) -> list[str]:
    return base64.b64decode(text).decode("utf-8").split()


def test_every_language_in_latin_or_cyrillic_letters_has_a_list() -> None:
    other = {"ar", "bn", "el", "fa", "he", "hi", "ja", "ko", "ta", "ur", "zh", "en"}
    assert set(HARD) == set(languages()) - other


@pytest.mark.parametrize("language", HARD)
def test_the_usual_words_of_each_language_are_stopped(language: str) -> None:
    rude = rude_filter(language)
    through = [word for word in (*hard(HARD[language]), *hard(EVERYWHERE)) if not rude.is_rude(word)]
    assert not through


#: Words a language needs, which begin like rude ones or have some in them.
NEEDED = {
    "de": "garten butter analyse katze hund schuh fisch assistent",
    "fr": "maison chien pétale niche bâton concert",
    "es": "casa perro gato sol playa computadora",
    "it": "casa gatto cane mela concerto",
    "pl": "kot dom ciotka ruch sukienka pies",
    "ru": "дом кот стол жидкость трава хлеб",
    "nl": "kat huis pistool piste boom",
    "fi": "kissa talo persikka kakku",
    "hu": "kutya ház kakas száraz",
    "pt": "casa gato viaduto peixe",
    "tr": "ev kedi sikke masa",
    "sv": "katt hus båt bord",
}


@pytest.mark.parametrize("language", NEEDED)
def test_words_that_only_look_rude_stay(language: str) -> None:
    rude = rude_filter(language)
    # “kissa”, a cat, begins like what no Swede says aloud: each list counts in its own language only.
    assert not [word for word in NEEDED[language].split() if rude.is_rude(word)]


@pytest.mark.parametrize("language", ["de", "es", "fr", "pl", "nl"])
def test_no_suggestion_in_other_languages_is_rude(language: str) -> None:
    rude, unwanted = rude_filter(language), set(hard(HARD[language])) | set(hard(EVERYWHERE))
    for pair in PAIRS[::9]:
        for one in finder(language=language).of(pair, 12):
            assert not any(rude.is_rude(word) or word in unwanted for word in one.word.split()), one.word
