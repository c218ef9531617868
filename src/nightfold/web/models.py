"""What several requests and answers share.  TypeScript types are generated from these, so every field is described."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Annotated, Any, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from nightfold.blind.features import MEANINGS
from nightfold.blind.method import DEFAULT

_HALF = re.compile("[\ud800-\udfff]")


def _texts(value: Any) -> Iterator[str]:
    """Every text in what was asked, at whatever depth; models within it look after their own."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for part in (*value, *value.values()):
            yield from _texts(part)
    elif isinstance(value, list | tuple):
        for part in value:
            yield from _texts(part)


class Asked(BaseModel):
    """A request's body; a key that means nothing is refused, since it is usually a slip of the pen."""

    model_config = ConfigDict(extra="forbid", protected_namespaces=())

    @model_validator(mode="after")
    def _whole_characters(self) -> Self:
        """JSON can write half a character, which no text can hold."""
        for name, value in self.__dict__.items():
            if any(not text.isascii() and _HALF.search(text) for text in _texts(value)):
                raise ValueError(f"“{name}” holds half a character, which no text can hold")
        return self


class Answer(BaseModel):
    """An answer's body.  Every key is always there."""

    model_config = ConfigDict(json_schema_serialization_defaults_required=True)


class ErrorOut(Answer):
    """What is wrong, in one sentence."""

    error: str = Field(description="What is wrong, where, and what would be right.")


Size = Annotated[int, Field(ge=2, le=7, description="How many layers the cube has.")]
LetteringName = Annotated[
    str | None, Field(description="The name of a lettering; the method's own if null.", examples=["greek"])
]
MethodName = Annotated[str, Field(description="The name of a method.", examples=["two-swap"])]


class CubeIn(Asked):
    """A cube and how to read it; exactly one of ``scramble`` and ``net``."""

    scramble: str | None = Field(
        None,
        description="Turns from a solved cube, white up and green in front; empty for the solved cube.",
        examples=["D F L2 B U R F' L' B2"],
    )
    net: str | None = Field(
        None, description="The unfolded cube as net text: the rows of U, then the band L F R B, then the rows of D."
    )
    method: MethodName = DEFAULT
    lettering: LetteringName = None
    hold: str | None = Field(
        None,
        description="The colours up and in front while reading; the method's if null.",
        examples=["white,green", "W,G"],
    )
    breaks: str | None = Field(
        None,
        description="Where to break into a new cycle: lowest (letter), shortest (plan), words (the strongest pairs by "
        "your own words and those suggested), or your own choice.",
        examples=["lowest", "shortest", "words", "choose:edges=K Q;corners=B"],
    )


def _wish(name: str, **more: Any) -> Any:
    """The field of a feature that may be wished for."""
    return Field(None, description=MEANINGS[name], **more)


class FeaturesIn(Asked):
    """Features that a cube shall have: numbers as 8, 6..8, 6.. or ..8; null where anything will do."""

    edge_letters: str | None = _wish("edge_letters", examples=["10..12"])
    corner_letters: str | None = _wish("corner_letters")
    letters: str | None = _wish("letters")
    edge_breaks: str | None = _wish("edge_breaks")
    corner_breaks: str | None = _wish("corner_breaks")
    breaks: str | None = _wish("breaks")
    flipped: str | None = _wish("flipped")
    twisted: str | None = _wish("twisted")
    solved_edges: str | None = _wish("solved_edges")
    solved_corners: str | None = _wish("solved_corners")
    parity: str | None = _wish("parity")
    edge_buffer: str | None = _wish("edge_buffer")
    corner_buffer: str | None = _wish("corner_buffer")

    @property
    def wishes(self) -> dict[str, str | None]:
        """The features by name, as ``parse_features`` takes them."""
        return {name: getattr(self, name) for name in FeaturesIn.model_fields}


class View(Answer):
    """The cube as it is read, ready to be drawn; stickers are numbered face by face in the order U, L, F, R, B, D."""

    size: int = Field(description="How many layers the cube has.")
    colours: list[str] = Field(description="The colour seen at each place, by initial.")
    names: list[str] = Field(description="The name of each place, its own face first.")
    letters: dict[str, dict[int, str]] = Field(description="For each orbit the letter of each of its stickers.")
    scheme: list[str] = Field(description="The colours of the faces U, L, F, R, B, D in this hold.")
    hold_words: str = Field(description="How the cube is held, in words.")
