"""A timed attempt in a real browser, by a real clock: started, covered, stopped, judged, examined, and never lost."""

from __future__ import annotations

import io
import signal
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import httpx
import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from nightfold.blind.plan import make_plan
from nightfold.cube.net import net_of
from nightfold.cube.notation import write
from nightfold.cube.state import Cube
from tests.web.browser import AWAY, NARROW, Window, opened
from tests.web.desk import SCRAMBLE
from tests.web.serving import asked, client_of, until
from tests.web.test_browser_server import Closing

if TYPE_CHECKING:
    from playwright.sync_api import Browser

Another = Callable[..., AbstractContextManager[Window]]
#: The space bar must be held for half a second.
HELD = 650
#: A hand that comes down twice is one press.
APART = 450


def words(page: Page) -> Any:
    """What the clock says."""
    return expect(page.locator(".surface .words"))


def ready(window: Window, **more: str) -> Page:
    page = window.go("attempt", **{"scramble": SCRAMBLE, **more})
    words(page).to_have_text("Hold, then let go to start")
    page.locator(".surface").focus()
    return page


def start(page: Page) -> None:
    page.keyboard.down(" ")
    words(page).to_have_text("Let go to start")
    page.keyboard.up(" ")
    words(page).to_have_text("Memorise")
    page.wait_for_timeout(APART)


def cover(page: Page) -> None:
    page.keyboard.press(" ")
    words(page).to_have_text("Eyes covered")
    page.wait_for_timeout(APART)


def stop(page: Page, key: str = "k") -> None:
    page.keyboard.press(key)
    expect(page.get_by_role("heading", level=1, name="How did it come out?")).to_be_focused()
    page.wait_for_timeout(2 * APART)


def hold(page: Page, key: str) -> None:
    page.keyboard.down(key)
    page.wait_for_timeout(HELD)
    page.keyboard.up(key)


def kept(client: httpx.Client) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = asked(client, "attempts")["attempts"]
    return found


def the_one(client: httpx.Client, **wanted: Any) -> dict[str, Any]:
    """The only attempt there is, once it is as wanted."""
    assert until(lambda: [{name: one[name] for name in wanted} for one in kept(client)] == [wanted]), kept(client)
    return kept(client)[0]


def test_an_attempt_is_timed_kept_and_judged(window: Window, client: httpx.Client) -> None:
    page = ready(window)
    before = time.time()
    start(page)
    begun = the_one(client, outcome="unfinished", memo_ms=None, scramble=SCRAMBLE)
    window.wait_for_address(attempt=begun["id"])
    cover(page)
    covered = the_one(client, total_ms=None)
    assert until(lambda: kept(client)[0]["memo_ms"] is not None)
    stop(page)
    took = 1000 * (time.time() - before)
    assert until(lambda: kept(client)[0]["total_ms"] is not None)
    found = kept(client)[0]
    assert found["id"] == begun["id"] == covered["id"]
    assert APART <= found["memo_ms"] < found["total_ms"] <= took
    assert found["total_ms"] >= found["memo_ms"] + APART
    page.keyboard.press("s")
    solved = the_one(client, outcome="solved")
    expect(page.locator(".result")).to_have_text(solved["result"])
    page.keyboard.press("2")
    expect(page.locator(".result")).to_have_text(the_one(client, outcome="plus2")["result"])
    expect(page.get_by_role("button", name="One turn away, +2")).to_have_attribute("aria-pressed", "true")


def test_a_slip_does_not_start_the_clock(window: Window, client: httpx.Client) -> None:
    page = ready(window)
    page.keyboard.press(" ")
    page.wait_for_timeout(HELD)
    words(page).to_have_text("Hold, then let go to start")
    page.locator(".surface").click()
    page.wait_for_timeout(HELD)
    words(page).to_have_text("Hold, then let go to start")
    assert kept(client) == []


def test_the_blindfold_may_come_off_again(window: Window, client: httpx.Client) -> None:
    page = ready(window)
    start(page)
    cover(page)
    early = the_one(client, total_ms=None)
    hold(page, "b")
    words(page).to_have_text("Memorise")
    the_one(client, memo_ms=None)
    page.wait_for_timeout(APART)
    cover(page)
    assert until(lambda: kept(client)[0]["memo_ms"] is not None)
    assert kept(client)[0]["memo_ms"] > (early["memo_ms"] or 0) + APART


def test_giving_up_is_a_dnf(window: Window, client: httpx.Client) -> None:
    page = ready(window)
    start(page)
    page.keyboard.press("Escape")  # a touch gives nothing up
    page.wait_for_timeout(HELD)
    words(page).to_have_text("Memorise")
    hold(page, "Escape")
    found = the_one(client, outcome="dnf", memo_ms=None)
    assert found["total_ms"] >= APART
    expect(page.locator(".result")).to_have_text(found["result"])
    expect(page.get_by_role("heading", name="What went wrong?")).to_be_visible()


@pytest.mark.parametrize("key", ["b", "Escape"])
def test_with_covered_eyes_a_touch_of_any_key_stops_the_clock(window: Window, client: httpx.Client, key: str) -> None:
    page = ready(window)
    start(page)
    cover(page)
    covered = the_one(client, total_ms=None)
    assert until(lambda: kept(client)[0]["memo_ms"] is not None)
    memo = kept(client)[0]["memo_ms"]
    stop(page, key)
    found = the_one(client, id=covered["id"], memo_ms=memo, outcome="unfinished")
    assert found["total_ms"] > memo


def test_fingers_take_the_blindfold_off_by_holding(another: Another, client: httpx.Client) -> None:
    with another(NARROW) as window:
        page = ready(window)
        start(page)
        give_up = page.get_by_role("button", name="Hold: give up")
        give_up.tap()
        page.wait_for_timeout(HELD)
        words(page).to_have_text("Memorise")
        cover(page)
        uncover = page.get_by_role("button", name="Hold: blindfold off again")
        low, high = uncover.bounding_box(), page.locator(".surface").bounding_box()
        assert low is not None
        assert high is not None
        assert low["y"] + low["height"] + 20 < high["y"]  # above the target and apart from it
        uncover.hover()
        page.mouse.down()
        page.wait_for_timeout(HELD)
        page.mouse.up()
        words(page).to_have_text("Memorise")
        page.wait_for_timeout(APART)
        cover(page)
        uncover.tap()  # a touch is one like any other
        expect(page.get_by_role("heading", level=1, name="How did it come out?")).to_be_visible()
        assert the_one(client, outcome="unfinished")["memo_ms"] > APART


def test_who_cannot_hold_presses_twice(window: Window, client: httpx.Client) -> None:
    page = ready(window)
    start(page)
    page.get_by_role("button", name="Hold: give up").dispatch_event("click")
    words(page).to_have_text("Memorise")
    page.get_by_role("button", name="Press once more: give up").dispatch_event("click")
    the_one(client, outcome="dnf")


def test_the_target_is_in_view_on_a_telephone(another: Another) -> None:
    with another(NARROW) as window:
        page = ready(window)
        expect(page.locator("figure svg")).to_be_visible()
        page.evaluate("scrollTo(0, 0)")
        box = page.locator(".surface").bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= 844


def test_by_finger_alone(another: Another, client: httpx.Client) -> None:
    with another(NARROW) as window:
        page = window.go("attempt", scramble=SCRAMBLE)
        surface = page.locator(".surface")
        words(page).to_have_text("Hold, then let go to start")
        surface.scroll_into_view_if_needed()
        surface.dispatch_event("pointerdown", {"pointerId": 1, "button": 0, "isPrimary": True})
        surface.hover()
        page.mouse.down()
        words(page).to_have_text("Let go to start")
        page.mouse.up()
        words(page).to_have_text("Memorise")
        page.wait_for_timeout(APART)
        surface.tap()
        words(page).to_have_text("Eyes covered")
        page.wait_for_timeout(APART)
        surface.tap()
        page.get_by_role("button", name="Solved").tap()
        assert the_one(client, outcome="solved")["memo_ms"] >= APART


def test_the_finger_that_stops_the_clock_presses_nothing_else(another: Another, client: httpx.Client) -> None:
    with another(NARROW) as window:
        page = ready(window)
        start(page)
        page.locator(".surface").tap()
        words(page).to_have_text("Eyes covered")
        page.wait_for_timeout(APART)
        page.touchscreen.tap(60, 242)  # where Solved will stand
        solved = page.get_by_role("button", name="Solved")
        box = solved.bounding_box()
        assert box is not None and box["x"] < 60 < box["x"] + box["width"] and box["y"] < 242 < box["y"] + box["height"]
        page.wait_for_timeout(APART)
        expect(solved).to_have_attribute("aria-pressed", "false")
        the_one(client, outcome="unfinished")
        solved.tap()
        the_one(client, outcome="solved")


def test_the_picture_is_the_scrambled_cube(window: Window) -> None:
    page = ready(window)
    shown = page.locator("figure svg .spot text.initial")
    expect(shown).to_have_count(54)
    places = page.eval_on_selector_all(
        "figure svg .spot",
        "all => all.sort((a, b) => a.dataset.place - b.dataset.place).map(one => one.textContent.trim()).join('')",
    )
    assert places == "".join(net_of(Cube.from_turns(SCRAMBLE)).symbols)


def test_a_dealt_cube_is_ready_for_the_space_bar(window: Window, client: httpx.Client) -> None:
    page = window.go("attempt")
    words(page).to_have_text("Deal or type a scramble first")
    page.get_by_role("button", name="Deal a cube").press("Enter")
    words(page).to_have_text("Hold, then let go to start")
    expect(page.locator(".surface")).to_be_focused()
    start(page)
    assert the_one(client, outcome="unfinished")["scramble"] == window.address()["scramble"]


def test_the_inquest_is_held_shown_and_stored(window: Window, client: httpx.Client) -> None:
    page = ready(window)
    start(page)
    cover(page)
    stop(page)
    page.keyboard.press("d")
    page.get_by_text("Missing turns").click()
    page.get_by_label("Turns that would still solve it").fill(write(make_plan(SCRAMBLE).solution[-1:]))
    page.get_by_role("button", name="Hold the inquest").click()
    expect(page.get_by_role("heading", name="explanation")).to_be_focused()
    ident = the_one(client, outcome="dnf")["id"]
    mistakes = asked(client, f"attempts/{ident}")["mistakes"]
    likeliest = [one["said"]["say"] for one in mistakes if one["explanation"] == 0]
    assert likeliest
    expect(page.locator(".found li").first.locator(".say")).to_have_text(likeliest)


def test_a_best_of_3_stands_as_the_logbook_says(window: Window, client: httpx.Client) -> None:
    page = ready(window)
    page.get_by_label("It counts").select_option("best-of-3")
    for number in (1, 2, 3):
        page.locator(".surface").focus()
        start(page)
        cover(page)
        stop(page)
        page.keyboard.press("s")
        assert until(lambda n=number: [one["outcome"] for one in kept(client)] == ["solved"] * n)  # type: ignore[misc]
        (series,) = asked(client, "series")
        assert [one["number"] for one in series["attempts"]] == list(range(1, number + 1))
        expect(page.get_by_role("region", name="Best of 3").get_by_role("status")).to_have_text(
            series["standing"]["say"]
        )
        if number < 3:
            page.get_by_role("button", name="Next attempt").click()
            expect(page.locator(".surface")).to_be_focused()
            words(page).to_have_text("Hold, then let go to start")
    assert series["standing"]["complete"]


def test_many_cubes_are_judged_one_by_one(window: Window, client: httpx.Client) -> None:
    page = window.go("attempt", method="corners-first", lettering="greek", hold="Y,G")
    page.get_by_role("button", name="Many cubes").click()
    page.get_by_label("It counts").select_option("evening")
    page.get_by_label("The evening’s name").fill("Lamp night")
    page.get_by_label("Cubes", exact=True).fill("3")
    page.get_by_role("button", name="Deal them").click()
    expect(page.locator("ol.list li")).to_have_count(3)
    scrambles = page.locator("ol.list li").all_inner_texts()
    page.reload()  # the cubes may be scrambled already: they are still there
    expect(page.locator("ol.list li")).to_have_text(scrambles)
    page.locator(".surface").focus()
    start(page)
    cover(page)
    stop(page)
    for key in ("s", "2", "d"):
        page.keyboard.press(key)
    assert until(lambda: kept(client)[0]["points"] == 1)
    (found,) = kept(client)
    expect(page.locator(".result + p")).to_contain_text("1 point. All of it ")
    assert [cube["scramble"] for cube in found["cubes"]] == scrambles
    assert [cube["outcome"] for cube in found["cubes"]] == ["solved", "plus2", "dnf"]
    expect(page.locator(".result")).to_have_text(found["result"])
    assert found["outcome"] == "solved"
    assert (found["method"], found["lettering"], found["hold"]) == ("corners-first", "greek", "yellow,green")
    (evening,) = asked(client, "series")
    assert (evening["kind"], evening["name"], evening["id"]) == ("evening", "Lamp night", found["series"])
    page = window.go("logbook", event="333mbf", open=found["id"])
    expect(page.locator(".details")).to_contain_text("the evening “Lamp night”, number 1 of 1")
    page = window.go("attempt")
    page.get_by_label("The evening’s name").fill("Storm")
    page.get_by_label("The evening’s name").press("Enter")
    expect(page.get_by_role("region", name="The evening")).to_contain_text("Storm")
    assert until(lambda: asked(client, "series")[0]["name"] == "Storm")


def test_an_attempt_goes_on_after_the_page_was_loaded_again(window: Window, client: httpx.Client) -> None:
    page = ready(window)
    start(page)
    begun = the_one(client, outcome="unfinished")
    page.reload()
    page.get_by_role("button", name="Go on with it").click()
    words(page).to_have_text("Memorise")
    page.wait_for_timeout(APART)
    cover(page)
    page.reload()
    page.get_by_role("button", name="Go on with it").click()
    words(page).to_have_text("Eyes covered")
    page.wait_for_timeout(APART)
    stop(page)
    page.keyboard.press("s")
    found = the_one(client, outcome="solved", id=begun["id"])
    assert found["total_ms"] > found["memo_ms"] > 2 * APART
    # Opened once more, it is the attempt as it ended.
    page.reload()
    expect(page.locator(".result")).to_have_text(found["result"])


@pytest.mark.parametrize(
    ("button", "outcome"), [("It is a DNF", "dnf"), ("Keep it as unfinished", "unfinished")], ids=["dnf", "unfinished"]
)
def test_one_that_was_cut_off_can_be_ended(window: Window, client: httpx.Client, button: str, outcome: str) -> None:
    page = ready(window)
    start(page)
    the_one(client, outcome="unfinished", total_ms=None)
    page.reload()
    page.get_by_role("button", name=button).click()
    expect(page.get_by_role("button", name=button)).to_have_count(0)
    found = the_one(client, outcome=outcome, running_ms=None)
    assert found["total_ms"] >= APART
    page.reload()
    expect(page.locator("main")).not_to_contain_text("was cut off")


def test_one_that_nobody_judged_is_asked_for(window: Window, client: httpx.Client) -> None:
    page = ready(window)
    start(page)
    cover(page)
    stop(page)
    found = the_one(client, outcome="unfinished", running_ms=None)
    page = window.go("attempt")
    page.get_by_role("button", name="Judge it").click()
    page.get_by_role("button", name="Solved").click()
    the_one(client, id=found["id"], outcome="solved")
    asked(client, f"attempts/{found['id']}", {"outcome": "unfinished"}, "PATCH")
    page = window.go("attempt")
    page.get_by_role("button", name="Keep it as unfinished").click()
    page = window.go("attempt")
    words(page).to_have_text("Deal or type a scramble first")
    expect(page.locator("main")).not_to_contain_text("Nobody has said")


def test_an_evening_goes_on_past_midnight(window: Window, client: httpx.Client) -> None:
    def begun(hours: float) -> str:
        started = (datetime.now(UTC) - timedelta(hours=hours)).isoformat()
        body = {"id": str(uuid.uuid4()), "kind": "evening", "name": "Lamp night", "started": started}
        return str(asked(client, "series", body)["id"])

    begun(7)
    mine = begun(5)
    page = ready(window)
    page.get_by_label("It counts").select_option("evening")
    expect(page.get_by_role("region", name="The evening")).to_contain_text("Lamp night")
    page.locator(".surface").focus()
    start(page)
    the_one(client, series=mine)


def test_one_that_was_timed_elsewhere_is_judged(window: Window, client: httpx.Client) -> None:
    page = ready(window)
    page.get_by_text("Timed elsewhere").click()
    for total, memo, said in (
        ("1:7", "", "is no time"),
        ("0", "", "0.00 cannot be"),
        ("50", "60", "longer than all of it, 50.00"),
        ("30:00:00", "", "longer than a day"),
    ):
        page.get_by_label("All of it").fill(total)
        page.get_by_label("Eyes covered after").fill(memo)
        page.get_by_role("button", name="Keep it, and judge it").click()
        expect(page.locator("details[open] [role=alert]")).to_contain_text(said)
    assert kept(client) == []
    page.get_by_label("All of it").fill("1:23.45")
    page.get_by_label("Eyes covered after").fill("47")
    page.get_by_role("button", name="Keep it, and judge it").click()
    page.get_by_role("button", name="One turn away, +2").click()
    found = the_one(client, outcome="plus2", total_ms=83_450, memo_ms=47_000, scramble=SCRAMBLE)
    expect(page.locator(".result")).to_have_text(found["result"])


def test_many_cubes_typed_judged_and_examined(window: Window, client: httpx.Client) -> None:
    window.expected.append("the server responded with a status of 4")
    page = window.go("attempt")
    page.get_by_role("button", name="Many cubes").click()
    page.get_by_label("type the scrambles instead").check()
    lines = page.get_by_label("Scrambles, one a line")
    lines.fill("1. R U F\n2. L2 D8")
    expect(page.locator(".trouble").first).to_contain_text("cube 2: ")
    words(page).to_have_text("Type the scrambles first")
    lines.fill(f"1. R U F\n\n2. {SCRAMBLE}\n")
    expect(page.locator("ol.list li")).to_have_text(["R U F", SCRAMBLE])
    page.get_by_text("Timed elsewhere").click()
    page.get_by_label("All of it").fill("20:01")
    page.get_by_role("button", name="Keep it, and judge it").click()
    expect(page.locator("details[open] [role=alert]")).to_contain_text("2 cubes have 20:00 at most")
    page.get_by_label("All of it").fill("12:04")
    page.get_by_role("button", name="Keep it, and judge it").click()
    page.get_by_role("group", name="Cube 1").get_by_role("button", name="Solved").click()
    page.get_by_role("group", name="Cube 2").get_by_role("button", name="DNF").click()
    ident = the_one(client, outcome="dnf", total_ms=724_000)["id"]
    page.get_by_role("button", name="Hold the inquest").click()
    page.get_by_text("Missing turns").click()
    page.get_by_label("Turns that would still solve it").fill(write(make_plan(SCRAMBLE).solution[-1:]))
    page.locator("form").get_by_role("button", name="Hold the inquest").click()
    expect(page.get_by_role("heading", name="explanation")).to_be_focused()
    found = asked(client, f"attempts/{ident}")
    assert [cube["final"] is None for cube in found["cubes"]] == [True, False]
    assert {one["said"]["cube"] for one in found["mistakes"]} == {2}
    page.get_by_text("The letters, to check yours against").click()
    expect(page.get_by_role("heading", name="Cube 2", exact=True)).to_be_visible()
    page = window.go("logbook", event="333mbf", open=ident)
    expect(page.locator(".details")).to_contain_text("Cube 2")


def test_dark_and_silent_as_chosen(window: Window) -> None:
    page = ready(window)
    page.get_by_text("Sound, light and the start").click()
    page.get_by_label("Dark screen while eyes are covered").check()
    page.get_by_label("Show no running time").check()
    page.locator(".surface").focus()
    start(page)
    expect(page.get_by_role("timer")).to_have_count(0)
    cover(page)
    picture = Image.open(io.BytesIO(page.screenshot())).convert("RGB")
    assert picture.getextrema() == ((0, 0), (0, 0), (0, 0))  # nothing is lit at all
    hold(page, "b")
    words(page).to_have_text("Memorise")
    page.wait_for_timeout(APART)
    cover(page)
    page.mouse.click(700, 450)
    expect(page.get_by_role("heading", level=1, name="How did it come out?")).to_be_visible()
    assert window.faults() == []


def test_one_press_starts_where_that_was_chosen(window: Window, client: httpx.Client) -> None:
    page = ready(window)
    page.get_by_text("Sound, light and the start").click()
    page.get_by_label("Start at one press").check()
    words(page).to_have_text("Press to start")
    page.locator(".surface").focus()
    page.keyboard.press(" ")
    words(page).to_have_text("Memorise")
    the_one(client, outcome="unfinished")


# --- the server is away ---


@pytest.fixture
def closing(browser: Browser) -> Iterator[Closing]:
    made = Closing()
    try:
        with opened(browser, made.port, expected=[AWAY]) as made.window:
            yield made
    finally:
        made.app.end()
        made.place.close()


def test_a_killed_server_loses_nothing_and_doubles_nothing(closing: Closing) -> None:
    page = ready(closing.window)
    start(page)
    with client_of(closing.port) as client:
        begun = the_one(client, outcome="unfinished")
    closing.app.end(signal.SIGKILL)
    cover(page)
    stop(page)
    page.keyboard.press("s")
    expect(page.get_by_text("steps are not in the logbook yet")).to_be_visible()
    closing.begin()
    closing.is_back()
    expect(page.get_by_text("in the logbook yet")).to_have_count(0)
    with client_of(closing.port) as client:
        found = the_one(client, outcome="solved", id=begun["id"])
    assert APART <= found["memo_ms"] < found["total_ms"]
    expect(page.locator(".result")).to_have_text(found["result"])


def test_an_attempt_begun_while_the_server_was_away_is_sent_by_the_next_page(closing: Closing) -> None:
    page = ready(closing.window)
    page.get_by_label("It counts").select_option("evening")
    page.locator(".surface").focus()
    closing.app.end(signal.SIGKILL)
    start(page)
    cover(page)
    page.goto("about:blank")  # the window is closed in mid-attempt
    closing.begin()
    page = closing.window.go("help")  # whichever screen is opened next
    with client_of(closing.port) as client:
        found = the_one(client, outcome="unfinished", scramble=SCRAMBLE)
        assert until(lambda: kept(client)[0]["memo_ms"] is not None)
        assert found["series"] is not None
    page = closing.window.go("attempt")
    page.get_by_role("button", name="Go on with it").click()
    words(page).to_have_text("Eyes covered")
    page.wait_for_timeout(APART)
    stop(page)
    with client_of(closing.port) as client:
        assert len(kept(client)) == 1


def test_what_the_logbook_refuses_is_said(window: Window, client: httpx.Client) -> None:
    window.expected.append("the server responded with a status of 4")
    page = ready(window)
    start(page)
    ident = the_one(client, outcome="unfinished")["id"]
    asked(client, f"attempts/{ident}", method="DELETE")
    cover(page)
    stop(page)
    expect(
        page.get_by_role("alert").filter(has_text=f"there is no attempt {ident} in the logbook").first
    ).to_be_visible()
    page.get_by_role("button", name="Understood").click()
    expect(page.get_by_text("The logbook does not take everything")).to_have_count(0)
