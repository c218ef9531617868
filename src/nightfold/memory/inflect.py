"""The few forms of English words that phrases need, by plain rules of spelling."""

from __future__ import annotations

_VOWELS = "aeiou"
#: Verbs whose third person no rule tells.
_THIRD = {"be": "is", "have": "has", "do": "does", "go": "goes", "undo": "undoes", "redo": "redoes"}


def third_person(verb: str) -> str:
    """What he, she or it does: ``paint`` gives ``paints``, ``carry`` ``carries``, ``push`` ``pushes``."""
    if verb in _THIRD:
        return _THIRD[verb]
    if verb.endswith(("s", "x", "z", "ch", "sh")):
        return verb + "es"
    if verb.endswith("y") and verb[-2:-1] not in tuple(_VOWELS):
        return verb[:-1] + "ies"
    return verb + "s"


def doing(verb: str) -> str:
    """The verb as something that goes on: ``bake`` gives ``baking``, ``hop`` ``hopping``, ``lie`` ``lying``."""
    if verb.endswith("ie"):
        return verb[:-2] + "ying"
    if verb.endswith("e") and not verb.endswith(("ee", "oe", "ye")):
        return verb[:-1] + "ing"
    short = len(verb) > 2 and verb[-1] not in "aeiouwxy" and verb[-2] in _VOWELS and verb[-3] not in _VOWELS
    if short and sum(char in _VOWELS for char in verb) == 1:
        return verb + verb[-1] + "ing"
    return verb + "ing"
