"""``/api/methods``: what a method is and what follows from it; check, keep and remove methods of your own."""

from __future__ import annotations

from fastapi import APIRouter
from pydantic import ConfigDict, Field

from nightfold.blind.errors import MethodError
from nightfold.blind.method import Method
from nightfold.web import library
from nightfold.web.models import Answer, Asked
from nightfold.web.work import quick

router = APIRouter(prefix="/methods", tags=["methods"])


class SourceIn(Asked):
    """A file's text."""

    source: str = Field(description="The file's text, in TOML.", max_length=200_000)


class ProblemsOut(Answer):
    """Why it cannot be used."""

    problems: list[str] = Field(description="Every failed check, one sentence each.")


class RemovedOut(Answer):
    """What was removed."""

    removed: str = Field(description="The name; the file itself was set aside, not destroyed.")


class VerdictOnTurnOut(Answer):
    """Whether one turn may be used for setups."""

    turn: str
    free: bool
    spare: bool = Field(description="It would be allowed, but moves the orbit just as a simpler free turn does.")
    why: str


class MethodOrbitOut(Answer):
    """How one orbit is solved."""

    orbit: str
    way: str
    buffer: str
    home: str
    swap: str
    label: str
    free: list[str] = Field(description="The turns that setups may use.")
    disturbs: list[str] = Field(description="The pieces that the swap algorithm disturbs outside the orbit.")
    verdicts: list[VerdictOnTurnOut]


class ParityOut(Answer):
    """What is done when both orbits have an odd number of letters."""

    algorithm: str
    label: str
    searched: bool


class SetupOut(Answer):
    """The turns that bring one target home."""

    model_config = ConfigDict(populate_by_name=True, json_schema_serialization_defaults_required=True)

    sticker: str
    letter: str
    setup: str
    undo: str
    kind: str = Field(alias="class", description="How many turns there are and which layers they move.")
    cost: float
    why: str


class OrbitSetupsOut(Answer):
    """Every target of one orbit with its easiest setup."""

    orbit: str
    buffer: str
    home: str
    swap: str
    free: list[str]
    setups: list[SetupOut]
    unreachable: list[str]


class SetupsOut(Answer):
    """The setup table of a method."""

    method: str
    orbits: list[OrbitSetupsOut]


class MethodOut(Answer):
    """A method, what follows from it, and what was checked."""

    name: str
    title: str
    about: str
    own: bool = Field(description="Whether it is one of your own.")
    order: list[str]
    hold: list[str] = Field(description="The initials of the colours up and in front.")
    breaks: str
    lettering: str
    orbits: list[MethodOrbitOut]
    parity: ParityOut
    checks: list[str] = Field(description="Everything that was checked, one sentence each.")
    source: str = Field(description="The file's text, in TOML.")
    setups: SetupsOut


@router.post("/check")
async def check_method(asked: SourceIn) -> MethodOut | ProblemsOut:
    """What would follow from a method, or every reason why it cannot work.  Nothing is kept."""
    return await quick(lambda: _checked(asked.source))


@router.get("/{name}")
async def get_method(name: str) -> MethodOut:
    """What a method is, what follows from it, and what was checked."""
    return await quick(lambda: _method_out(library.method(name), library.source(library.METHODS, name)))


@router.put("/{name}")
async def put_method(name: str, asked: SourceIn) -> MethodOut:
    """Keep a method of your own, if it works; one of the same name is replaced."""
    return await quick(lambda: _put(name, asked.source))


@router.delete("/{name}")
async def delete_method(name: str) -> RemovedOut:
    """Set one of your own methods aside."""

    def work() -> RemovedOut:
        library.remove(library.METHODS, name)
        return RemovedOut(removed=name)

    return await quick(work)


def _checked(source: str) -> MethodOut | ProblemsOut:
    try:
        return _method_out(library.method_of(source, "method"), source)
    except MethodError as trouble:
        return ProblemsOut(problems=list(trouble.problems))


def _put(name: str, source: str) -> MethodOut:
    library.check_name(library.METHODS, name)
    made = _method_out(library.method_of(source, name), source, own=True)
    library.save(library.METHODS, name, source)
    return made


def _method_out(chosen: Method, source: str, own: bool | None = None) -> MethodOut:
    setups = chosen.setups_to_dict(library.letters_for(chosen, None))
    own = library.is_own(library.METHODS, chosen.name) if own is None else own
    return MethodOut.model_validate(chosen.to_dict() | {"own": own, "source": source, "setups": setups})
