"""The next letter and the end of a cycle: every letter judged at every moment, as the tests' own cube sees it."""

from __future__ import annotations

import random

import pytest

from nightfold.blind.errors import LetteringError
from nightfold.practice.drills import EXERCISES, DrillError
from nightfold.practice.drills.table import show
from nightfold.practice.drills.tracing import ALL_DONE, GOES_ON, moment_after, moments
from tests.blind import referee
from tests.blind.referee import LETTER, ROUND, STICKER
from tests.practice.drilling import METHODS, buffer_of, memo_of, questions, seen_after, state_of, table_of

NEXT, END = EXERCISES["next-letter"], EXERCISES["cycle-end"]


@pytest.mark.parametrize("method", METHODS)
def test_the_next_letter_is_the_one_the_buffer_shows(method: str) -> None:
    table = table_of(method)
    for question in questions(table, "next-letter"):
        orbit, skill = question.topic
        buffer, letters = buffer_of(table, orbit), LETTER[orbit]
        seen = seen_after(table, question, orbit)
        home = referee.buffer_home(seen, buffer)
        right = {letters[name] for name in referee.unsolved(seen, buffer)} if home else {letters[seen[buffer]]}
        assert set(NEXT.expected(table, question)) == right, question
        judged = {letter: NEXT.mark(table, question, letter) for letter in letters.values()}
        assert {letter for letter, marked in judged.items() if marked.right} == right
        for letter, marked in judged.items():
            # Every sentence names a right letter with its sticker's name.
            told = letter if marked.right else min(right)
            assert f"{told}." in marked.say or f": {told} " in marked.say, marked.say
            if not marked.right:
                own = STICKER[orbit][letter] in ROUND[buffer]
                assert ("the buffer's own piece, to which nothing can be shot" in marked.say) == own
        check_skill(skill, question.letters, orbit, seen, buffer)


def check_skill(skill: str, so_far: tuple[str, ...], orbit: str, seen: referee.Seen, buffer: str) -> None:
    """The skill that is asked for is the one that is needed."""
    home = referee.buffer_home(seen, buffer)
    assert (skill == "break") == home
    if home:
        return
    target, last = seen[buffer], STICKER[orbit][so_far[-1]] if so_far else None
    assert (skill == "first") == (last is None)
    shot = {name for letter in so_far for name in ROUND[STICKER[orbit][letter]]}
    # A letter of a piece that was shot to before is one that closes.
    assert (skill in ("close", "turned")) == (target in shot)
    if last is not None:
        assert (skill == "turned") == (target in ROUND[last])


@pytest.mark.parametrize("method", METHODS)
def test_a_cycle_ends_where_the_buffers_piece_turns_up(method: str) -> None:
    table = table_of(method)
    for question in questions(table, "cycle-end"):
        orbit, skill = question.topic
        buffer, letters = buffer_of(table, orbit), LETTER[orbit]
        seen = seen_after(table, question, orbit)
        home, left = referee.buffer_home(seen, buffer), referee.unsolved(seen, buffer)
        right = {letters[name] for name in left} if home and left else {ALL_DONE} if home else {GOES_ON}
        assert set(END.expected(table, question)) == right
        for answer in (*letters.values(), GOES_ON, ALL_DONE, GOES_ON.upper()):
            marked = END.mark(table, question, answer)
            assert marked.right == (answer in right or answer.lower() in right), (question, answer)
        assert (skill in ("goes-on", "to-close")) == (not home)
        assert (skill == "solved") == (home and not left)
        if skill in ("buffer", "buffer-turned"):
            # The last place shows the buffer's own piece, by the buffer sticker or by another.
            first = referee.look(state_of(question), orbit)
            last = STICKER[orbit][question.letters[-1]] if question.letters else buffer
            assert (first[last] == buffer) == (skill == "buffer")
            assert first[last] in ROUND[buffer]


@pytest.mark.parametrize("orbit", ["edges", "corners"])
def test_letters_so_far_may_break_in_anywhere(orbit: str) -> None:
    """Moments are found by the letters alone, also where these break into other pieces than Nightfold would."""
    table, dice = table_of(), random.Random(8)
    for _ in range(25):
        cube = show(table, " ".join(dice.choice(["R", "U", "F'", "L2", "D", "B"]) for _ in range(20)))
        state, buffer = referee.play(cube.scramble), buffer_of(table, orbit)
        memo = memo_of(state, orbit, buffer, dice)
        for at in range(len(memo) + 1):
            seen = referee.look(state, orbit)
            for letter in memo[:at]:
                referee.shoot(seen, buffer, STICKER[orbit][letter])
            moment = moment_after(table, cube, orbit, memo[:at])
            options = {LETTER[orbit][referee.canon(table.name(sticker))] for sticker in moment.options}
            home = referee.buffer_home(seen, buffer)
            assert moment.is_break == (home and at < len(memo))
            wanted = {LETTER[orbit][name] for name in referee.unsolved(seen, buffer)}
            assert options == (wanted if home else {memo[at]})


def test_letters_that_no_tracing_gives_are_refused() -> None:
    table = table_of()
    cube = show(table, "D F L2 B U R F' L' B2")
    with pytest.raises(DrillError, match="no tracing of the edges of this cube begins with A"):
        moment_after(table, cube, "edges", ["A"])


def test_every_moment_of_a_reading_is_told() -> None:
    table = table_of()
    cube = show(table, "D F L2 B U R F' L' B2")
    edges = next(one for one in cube.plan.orbits if one.orbit.name == "edges")
    found = moments(table, cube, edges)
    assert len(found) == len(edges.targets) + 1
    skills = "first on on on on on break after close break turned end"
    endings = "goes-on goes-on goes-on goes-on goes-on goes-on buffer goes-on to-close closed to-close solved"
    assert [moment.skill for moment in found] == skills.split()
    assert [moment.ending for moment in found] == endings.split()


def test_what_is_said_at_the_end_of_cycles() -> None:
    table = table_of()
    said = set()
    for seed in range(3):
        for question in questions(table, "cycle-end", seed):
            for answer in (GOES_ON, ALL_DONE):
                marked = END.mark(table, question, answer)
                if not marked.right:
                    said.add(marked.say.split(". ")[0])
                    assert marked.say.split(". ")[0] in (
                        "No cycle goes on here",
                        "Not everything is solved",
                    )
                elif answer == GOES_ON:
                    assert marked.say.startswith(("The cycle goes on. ", "The cycle still needs its last letter. "))
                else:
                    assert marked.say.endswith(f"Every piece of the {question.topic[0]} is right now.")
    assert said == {"No cycle goes on here", "Not everything is solved"}


def test_a_letter_that_is_none_is_asked_again() -> None:
    table = table_of()
    for exercise in (NEXT, END):
        question = exercise.ask(table, exercise.subjects(table)[0], random.Random(1))
        with pytest.raises(LetteringError, match="is no letter of the edges"):
            exercise.mark(table, question, "off")


@pytest.mark.parametrize("name", ["next-letter", "cycle-end"])
def test_cubes_get_longer_with_the_level(name: str) -> None:
    table, exercise = table_of(), EXERCISES[name]

    def mean(level: int, orbit: str) -> float:
        asked = [
            exercise.ask(table, subject, random.Random(seed), level)
            for subject in exercise.subjects(table)
            if subject.startswith(orbit)
            for seed in range(4)
        ]
        return sum(len(memo_of(state_of(one), orbit, buffer_of(table, orbit))) for one in asked) / len(asked)

    for orbit in table.orbits:
        means = [mean(level, orbit) for level in (1, 2, 3, 4)]
        assert means == sorted(means) and means[0] + 2 < means[3]


@pytest.mark.parametrize(("lettering", "hold"), [("greek", None), (None, "yellow,red")])
def test_other_letters_and_holds(lettering: str | None, hold: str | None) -> None:
    table = table_of(lettering=lettering, hold=hold)
    for question in questions(table, "next-letter", seed=5):
        orbit = question.topic[0]
        buffer = buffer_of(table, orbit)
        # Letters are translated by the sticker's place, since the tests' own lettering is the common one.
        latin = {
            table.symbol(orbit, sticker): LETTER[orbit][referee.canon(table.name(sticker))]
            for sticker in table.orbit(orbit).stickers
        }
        seen = referee.look(state_of(question), orbit)
        for letter in question.letters:
            referee.shoot(seen, buffer, STICKER[orbit][latin[letter]])
        home = referee.buffer_home(seen, buffer)
        right = referee.unsolved(seen, buffer) if home else [seen[buffer]]
        assert {latin[one] for one in NEXT.expected(table, question)} == {LETTER[orbit][name] for name in right}
