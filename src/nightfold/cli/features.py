"""The options by which a command is asked for cubes with certain features."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Annotated, Any, TypeVar, get_type_hints

import typer

if TYPE_CHECKING:
    from nightfold.blind.features import Features

_Result = TypeVar("_Result")

_PANEL = "Features (numbers as 8, 6..8, 6.. or ..8)"
_NUMBER, _BUFFER = "N|A..B", "home|turned|away"
#: For each feature what stands behind its option and what the help says of it.
_OPTIONS = {
    "edge_letters": (_NUMBER, "Letters of the edges."),
    "corner_letters": (_NUMBER, "Letters of the corners."),
    "letters": (_NUMBER, "Letters of edges and corners together, always an even number."),
    "edge_breaks": (_NUMBER, "How often tracing the edges breaks into a new piece."),
    "corner_breaks": (_NUMBER, "The same for the corners."),
    "breaks": (_NUMBER, "The same for both together."),
    "flipped": (_NUMBER, "Edges flipped in their places, the buffer's not counted."),
    "twisted": (_NUMBER, "Corners twisted in their places, the buffer's not counted."),
    "solved_edges": (_NUMBER, "Edges already solved, the buffer's counted."),
    "solved_corners": (_NUMBER, "Corners already solved, the buffer's counted."),
    "parity": ("yes|no", "Whether the numbers of letters are odd."),
    "edge_buffer": (_BUFFER, "The edge buffer's piece: right, flipped in place, elsewhere; or several (home,away)."),
    "corner_buffer": (_BUFFER, "The same for the corner buffer's piece."),
}


def with_features(command: Callable[..., _Result]) -> Callable[..., _Result]:
    """Give a command an option for each feature; its parameter ``features`` receives what they ask for.

    The command annotates it as ``features: Features`` and gives it no default.  An option that cannot be read ends the
    command with a FeatureError.
    """
    hints = get_type_hints(command, localns={"Features": object}, include_extras=True)
    own = [
        parameter.replace(annotation=hints[name], kind=inspect.Parameter.KEYWORD_ONLY)
        for name, parameter in inspect.signature(command).parameters.items()
        if name != "features"
    ]
    options = [
        inspect.Parameter(
            name,
            inspect.Parameter.KEYWORD_ONLY,
            default=None,
            annotation=Annotated[
                str | None,
                typer.Option(f"--{name.replace('_', '-')}", metavar=metavar, help=said, rich_help_panel=_PANEL),
            ],
        )
        for name, (metavar, said) in _OPTIONS.items()
    ]

    @wraps(command)
    def with_options(**given: Any) -> _Result:
        from nightfold.blind.features import parse_features

        features: Features = parse_features({name: given.pop(name) for name in _OPTIONS})
        return command(features=features, **given)

    signature = inspect.Signature([*own, *options], return_annotation=hints.get("return"))
    with_options.__signature__ = signature  # type: ignore[attr-defined]
    with_options.__annotations__ = {parameter.name: parameter.annotation for parameter in (*own, *options)}
    return with_options
