"""Attempt cards for an evening of the club: scrambles with pictures to check them by, and room for what came of them.

Results are as the WCA Regulations, version of 1 January 2024, have them, retold; see ``nightfold.practice.results``.
"""

from __future__ import annotations

from dataclasses import dataclass

from nightfold.blind.dealing import Deal, Dealer
from nightfold.cube.notation import check_size
from nightfold.paper.class_list import among, read_people, read_seed
from nightfold.paper.leaflet import CAUTION
from nightfold.paper.press import PLAIN, Look, brief, press
from nightfold.paper.scrambled import scrambled_svg
from nightfold.paper.subject import Subject
from nightfold.paper.watched import tell
from nightfold.practice.results import PENALTY_MS

#: Blindfolded rounds are best of 3, and the mean is one of 3 (9b3).
ATTEMPTS = 3
MOST_ROUNDS = 8
#: What counts, each with the clauses it is retold from.
RULES = (
    ("Time", "It runs from the start until the cube is put down, memorising included (B1a)."),
    (
        "Penalties",
        f"One turn from solved, or a layer more than 45 degrees off: +{PENALTY_MS // 1000} seconds. More than that, or "
        "given up: DNF (10e, 10f). Any orientation will do (10c).",
    ),
    ("Result", "Under 10 minutes cut to hundredths (9f1), from there on rounded to whole seconds (9f2)."),
    ("Best of 3", "It decides the round (9b3)."),
    ("Mean of 3", "Of the three results; one DNF makes it DNF (9f11)."),
)
DEFERS = (
    "The clauses are those of the WCA Regulations of 1 January 2024, retold for a club evening. At a competition the "
    "current official regulations and the delegate decide."
)


@dataclass(frozen=True, slots=True)
class Round:
    """One round: its number from 1, and the scrambles that all its competitors get."""

    number: int
    deals: tuple[Deal, ...]


def rounds_of(rounds: int, seed: int, size: int = 3) -> tuple[Round, ...]:
    """The rounds of an evening; the same seed deals the same, and a round does not depend on how many follow.

    Scrambles are as for blindfolded events: they also orient the cube at random (4b3a).  Raises GeometryError for a
    size that is not known.
    """
    dealer = Dealer(check_size(size), blind=True, seed=seed)
    made = []
    for number in range(1, rounds + 1):
        tell(f"round {number} of {rounds}")
        made.append(Round(number, tuple(dealer.deal() for _ in range(ATTEMPTS))))
    return tuple(made)


def press_attempts(
    subject: Subject,
    look: Look = PLAIN,
    *,
    competitors: str | None = None,
    rounds: int = 1,
    seed: str | None = None,
    size: int = 3,
) -> bytes:
    """Attempt cards as PDF, one for each competitor in each round.

    ``competitors`` is a number or names with commas; ``size`` the layers of the cube.  Raises NightfoldError for what
    cannot be read, dealt or printed.
    """
    people, number = read_people(competitors), read_seed(seed)
    made = rounds_of(among(rounds, 1, MOST_ROUNDS, "rounds"), number, size)
    own = ["--competitors", str(len(people)), "--rounds", str(rounds), "--seed", str(number), "--size", str(size)]
    sheet = subject.sheet("attempts", "Attempt card", look, *own)
    # A card is for the cube alone, whatever the method.
    sheet["notes"] = sheet["notes"][1:]
    sheet["event"] = f"{size}x{size}x{size} blindfolded, best of {ATTEMPTS}"
    sheet["rules"] = [list(rule) for rule in RULES]
    sheet["defers"] = f"{DEFERS} {CAUTION.partition(' At competitions')[0]}"
    sheet["scrambling"] = _scrambling(made, look.grey)
    sheet["cards"] = [
        {"name": brief(name, 60), "round": one.number, "of": len(made), "seed": str(number)}
        for one in made
        for name in people
    ]
    sheet["scrambles"] = {str(one.number): [str(deal) for deal in one.deals] for one in made}
    sheet["pictures"] = {
        f"scramble {one.number} {at}": scrambled_svg(deal.cube, look.grey)
        for one in made
        for at, deal in enumerate(one.deals, 1)
    }
    return press("attempts", sheet, look)


def _scrambling(rounds: tuple[Round, ...], grey: bool) -> str:
    kind = "random states" if rounds[0].deals[0].random_state else "random moves"
    said = (
        "For the scrambler alone. Start from a solved cube, white up and green in front, and compare it with the "
        f"picture, held as it is then. These are {kind} in random orientations; all who compete in a round get the "
        "same."
    )
    return said + (" Letters in the pictures are those of the colours." if grey else "")
