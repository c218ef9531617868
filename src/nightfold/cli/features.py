"""The options by which a command is asked for cubes with certain features."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Annotated, Any, TypeVar, get_type_hints

import typer

from nightfold.blind.features import MEANINGS, parse_features

if TYPE_CHECKING:
    from nightfold.blind.features import Features

_Result = TypeVar("_Result")

_PANEL = "Features (numbers as 8, 6..8, 6.. or ..8)"
_NUMBER, _BUFFER = "N|A..B", "home|turned|away"
#: What stands behind the option of a feature that is not a number.
_METAVARS = {"parity": "yes|no", "edge_buffer": _BUFFER, "corner_buffer": _BUFFER}


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
                typer.Option(
                    f"--{name.replace('_', '-')}",
                    metavar=_METAVARS.get(name, _NUMBER),
                    help=said,
                    rich_help_panel=_PANEL,
                ),
            ],
        )
        for name, said in MEANINGS.items()
    ]

    @wraps(command)
    def with_options(**given: Any) -> _Result:
        features: Features = parse_features({name: given.pop(name) for name in MEANINGS})
        return command(features=features, **given)

    signature = inspect.Signature([*own, *options], return_annotation=hints.get("return"))
    with_options.__signature__ = signature  # type: ignore[attr-defined]
    with_options.__annotations__ = {parameter.name: parameter.annotation for parameter in (*own, *options)}
    return with_options
