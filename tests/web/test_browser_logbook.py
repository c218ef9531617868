"""The logbook in a real browser: what it lists, draws and tells is what was kept."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager

import httpx
import pytest
from playwright.sync_api import Locator, Page, expect

from nightfold.blind.plan import make_plan
from nightfold.cube.notation import write
from nightfold.practice import demo
from nightfold.web.book import close_books
from tests.web.browser import NARROW, THEMES, WIDE, Window
from tests.web.desk import SCRAMBLE
from tests.web.serving import asked, until
from tests.web.test_attempts import ago, begin, change, series_of, solved

Another = Callable[..., AbstractContextManager[Window]]
#: Of the drawing in a figure: how wide the plot is inside its axes, and in which columns of pixels each line's colour
#: stands there; just so, as within a line, and about so, as in a small ring whose edges are smoothed.
_COLUMNS = """figure => {
  const canvas = figure.querySelector('canvas');
  const [whole, inside] = [canvas, figure.querySelector('.u-over')].map(part => part.getBoundingClientRect());
  const dense = canvas.width / whole.width;
  const [left, top, width, height] = [inside.left - whole.left, inside.top - whole.top, inside.width, inside.height]
    .map(size => Math.round(size * dense));
  const { data } = canvas.getContext('2d').getImageData(left, top, width, height);
  const theme = getComputedStyle(document.documentElement);
  const probe = document.createElement('canvas').getContext('2d');
  const columns = ink => {
    probe.fillStyle = theme.getPropertyValue(`--${ink}`);
    probe.fillRect(0, 0, 1, 1);
    const [red, green, blue] = probe.getImageData(0, 0, 1, 1).data;
    const [just, about] = [new Set(), new Set()];
    for (let at = 0; at < data.length; at += 4) {
      const off = Math.abs(data[at] - red) + Math.abs(data[at + 1] - green) + Math.abs(data[at + 2] - blue);
      if (data[at + 3] < 200 || off > 90) continue;
      about.add((at / 4) % width);
      if (data[at + 3] === 255 && off <= 6) just.add((at / 4) % width);
    }
    return { just: [...just], about: [...about] };
  };
  const keys = [...figure.querySelectorAll('.key svg')];
  const inks = keys.length ? keys.map(key => key.classList[0]) : ['lamp'];
  const marks = keys.length ? keys.map(key => !!key.querySelector('circle')) : [false];
  return { width, marks, lines: inks.map(columns) };
}"""
_VALUES = """figure => [...figure.querySelectorAll('tbody tr')].map(row =>
  [...row.querySelectorAll('td')].map(cell => cell.textContent.trim() !== '–'))"""


def practise(client: httpx.Client, count: int = 5) -> list[str]:
    """So many solved attempts a minute apart, and before them one that failed by its last turn; the newest first."""
    failed = begin(client, cube={"scramble": SCRAMBLE}, started=ago(hours=2))
    change(client, failed, memo_ms=30_000, total_ms=70_000, outcome="dnf")
    left = write(make_plan(SCRAMBLE).solution[-1:])
    asked(client, f"attempts/{failed}/inquest", {"left": left, "mistakes": 1})
    newer = [solved(client, 60_000 - 1000 * at, started=ago(minutes=60 - at)) for at in range(count)]
    return [*reversed(newer), failed]


def results(page: Page) -> list[str]:
    return page.locator(".row .result").all_inner_texts()


def test_the_newest_come_first_page_by_page(window: Window, client: httpx.Client) -> None:
    practise(client, 33)
    page = window.go("logbook")
    expect(page.locator(".row")).to_have_count(30)
    assert results(page)[:2] == ["28.00", "29.00"]
    page.get_by_role("button", name="Older ones").click()
    expect(page.locator(".row")).to_have_count(34)
    assert results(page)[-1] == "DNF (1:10.00)"
    expect(page.get_by_role("button", name="Older ones")).to_have_count(0)


def test_an_attempt_opens_with_its_mistakes_and_takes_a_note(window: Window, client: httpx.Client) -> None:
    failed = practise(client, 1)[-1]
    page = window.go("logbook")
    page.get_by_role("button", name="DNF (1:10.00)").press("Enter")
    window.wait_for_address(open=failed)
    kept = asked(client, f"attempts/{failed}")
    for one in kept["mistakes"]:
        expect(page.locator(".say").filter(has_text=one["said"]["say"]).first).to_be_visible()
    expect(page.locator(".details")).to_contain_text(SCRAMBLE)
    page.get_by_label("Note").fill("the ferry’s horn")
    page.get_by_role("button", name="Keep the note").click()
    expect(page.get_by_text("Kept.")).to_be_visible()
    assert asked(client, f"attempts/{failed}")["note"] == "the ferry’s horn"
    page.reload()
    expect(page.get_by_label("Note")).to_have_value("the ferry’s horn")


def test_an_inquest_that_was_put_off_is_held_here(window: Window, client: httpx.Client) -> None:
    ident = begin(client, cube={"scramble": SCRAMBLE})
    change(client, ident, memo_ms=1_000, total_ms=2_000, outcome="dnf")
    page = window.go("logbook", open=ident)
    page.get_by_role("button", name="Hold the inquest").click()
    page.get_by_text("Missing turns").click()
    page.get_by_label("Turns that would still solve it").fill("R")
    page.get_by_role("button", name="Hold the inquest").click()
    expect(page.locator(".found")).to_be_visible()
    expect(page.get_by_role("heading", name="What went wrong", exact=True)).to_be_visible()
    assert asked(client, f"attempts/{ident}")["mistakes"]


def test_one_is_removed_after_asking_and_can_be_brought_back(window: Window, client: httpx.Client) -> None:
    newest = practise(client, 2)[0]
    page = window.go("logbook", open=newest)
    page.get_by_role("button", name="Remove…").click()
    page.get_by_role("button", name="Keep it").click()
    page.get_by_role("button", name="Remove…").click()
    page.get_by_role("button", name="Remove", exact=True).click()
    expect(page.locator(".row")).to_have_count(2)
    assert newest not in [one["id"] for one in asked(client, "attempts")["attempts"]]
    expect(page.get_by_role("button", name="Bring it back")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator(".row")).to_have_count(3)
    assert asked(client, "attempts")["attempts"][0]["id"] == newest


def test_what_was_removed_comes_back_on_another_day(window: Window, client: httpx.Client) -> None:
    first, second = practise(client, 1)
    for ident in (first, second):
        asked(client, f"attempts/{ident}", method="DELETE")
    close_books()
    page = window.go("logbook")
    page.get_by_text("Removed before: 2").click()
    page.get_by_role("listitem").filter(has_text="DNF (1:10.00)").get_by_role("button", name="Bring it back").click()
    expect(page.locator(".row")).to_have_count(1)
    expect(page.get_by_text("Removed before: 1")).to_be_visible()
    assert [one["id"] for one in asked(client, "attempts")["attempts"]] == [second]
    assert asked(client, f"attempts/{second}")["mistakes"]


def test_an_empty_logbook_is_no_dead_end(window: Window) -> None:
    page = window.go("logbook")
    expect(page.get_by_text("No attempt is kept here yet.")).to_be_visible()
    expect(page.get_by_role("button", name="Load the demo")).to_be_visible()
    page.get_by_role("button", name="Progress").click()
    expect(page.get_by_text("There is nothing to count yet.")).to_be_visible()
    page.get_by_role("main").get_by_role("link", name="Time an attempt").first.click()
    expect(page.locator(".surface")).to_be_visible()


def test_progress_tells_what_the_server_counted(window: Window, client: httpx.Client) -> None:
    practise(client)
    page = window.go("logbook", part="progress")
    expect(page.locator(".sums")).to_contain_text("83%5 of 6")
    expect(page.locator(".sums")).to_contain_text("56.00")
    figure = page.locator("figure").filter(has=page.get_by_role("heading", name="Results, one by one"))
    figure.get_by_text("The numbers").click()
    expect(figure.locator("tbody tr")).to_have_count(6)
    expect(figure.locator("tbody tr").last).to_contain_text("56.00")
    expect(figure.locator("tbody tr").first).to_contain_text("DNF")
    with page.expect_download() as saved:
        figure.get_by_role("link", name="Save as CSV").click()
    text = saved.value.path().read_text()
    assert (
        text == httpx.get(f"{window.origin}/api/progress.csv?table=attempts&solver=&event=333bf", trust_env=False).text
    )
    assert saved.value.suggested_filename == "nightfold-attempts.csv"
    page.get_by_role("region", name="What makes the difference").get_by_role("combobox").select_option("parity")
    window.wait_for_address(split="parity")
    split = asked(client, "progress?split=parity")["split"]
    table = page.get_by_role("region", name="Attempts by parity")
    expect(table.locator("tbody th")).to_have_text([one["of"] for one in split])
    mistakes = asked(client, "progress")["mistakes"]
    costs = page.get_by_role("region", name="What each mistake costs, as a table")
    expect(costs.locator("tbody tr")).to_have_count(len(mistakes))


def test_the_inquest_learns_afresh_and_from_all_again(window: Window, client: httpx.Client) -> None:
    practise(client, 1)
    mistakes = asked(client, "progress")["mistakes"]
    page = window.go("logbook", part="progress")
    page.get_by_role("button", name="Begin afresh from now").click()
    expect(page.get_by_text("Only mistakes found since")).to_be_visible()
    found = asked(client, "progress")
    assert found["learns_from"]
    assert found["mistakes"] == mistakes
    page.reload()
    expect(page.get_by_text("Only mistakes found since")).to_be_visible()
    page.get_by_role("button", name="Learn from all of them again").click()
    expect(page.get_by_role("button", name="Begin afresh from now")).to_be_visible()
    assert asked(client, "progress")["learns_from"] is None


def test_days_in_a_row_are_counted_only_if_wanted(window: Window, client: httpx.Client) -> None:
    practise(client, 1)
    page = window.go("logbook", part="progress")
    expect(page.locator(".sums")).to_be_visible()
    expect(page.locator(".sums")).not_to_contain_text("days in a row")
    page.get_by_label("count days in a row").check()
    expect(page.locator(".sums")).to_contain_text("days in a row")
    page.reload()
    expect(page.locator(".sums")).to_contain_text("days in a row")


def drawn(figure: Locator) -> dict[str, tuple[int, int]]:
    """Of each line of a figure, how much of it is to be seen: so many of all its places and of all between two places.

    The numbers that stand below the drawing say where a value must be.
    """
    found = figure.evaluate(_COLUMNS)
    rows = figure.evaluate(_VALUES)
    titles = figure.locator("thead th").all_text_contents()[1:]
    step = found["width"] / len(rows)
    told = {}
    for number, (line, mark) in enumerate(zip(found["lines"], found["marks"], strict=True)):
        places = [at for at, row in enumerate(rows) if row[number]]
        just, about = set(line["just"]), set(line["about"])
        seen = all_of_it = 0
        for at, after in zip(places, [*places[1:], None], strict=True):
            middle = (at + 0.5) * step
            beside = {at - 1, at + 1} & set(places)
            if mark or not beside:
                all_of_it += 1
                seen += any(abs(column - middle) <= 4.5 for column in (about if mark else just))
            if not mark and after == at + 1:
                all_of_it += 1
                # Of the dots and dashes between two places some stand in the middle, unless these are narrow.
                reach = max(0.35 * step, 6)
                seen += any(abs(column - middle - step / 2) <= reach for column in just)
        told[titles[number]] = (seen, all_of_it)
    return told


def plots(page: Page, count: int) -> list[Locator]:
    """The figures of the page, once so many of them or more are drawn."""
    figures = page.locator("figure").filter(has=page.locator("canvas"))
    assert until(lambda: figures.count() >= count), figures.count()
    return figures.all()


def test_every_line_of_every_plot_is_drawn(window: Window, client: httpx.Client) -> None:
    asked(client, "demo", {})
    for theme, solver in zip(THEMES, ("Maren", "Ansa"), strict=True):
        window.page.emulate_media(color_scheme="dark" if theme == "night" else "light")
        for width in (WIDE, NARROW):
            window.resize(width)
            page = window.go("logbook", part="progress", demo="1", solver=solver)
            for figure in plots(page, 5):
                told = drawn(figure)
                assert all(all_of_it for _, all_of_it in told.values()), told
                # Some of a line may lie below another one.
                assert all(seen >= 0.8 * all_of_it for seen, all_of_it in told.values()), (solver, width, told)


def test_the_plots_are_drawn_afresh_in_the_colours_of_the_theme(window: Window, client: httpx.Client) -> None:
    practise(client)
    page = window.go("logbook", part="progress")
    figure = plots(page, 4)[0]
    assert all(one.get_attribute("aria-label") for one in page.get_by_role("img").all())
    by_night = figure.evaluate("figure => figure.querySelector('canvas').toDataURL()")
    seen = drawn(figure)
    window.show_by("day")
    page.wait_for_function("before => document.querySelector('.plot canvas')?.toDataURL() !== before", arg=by_night)
    assert drawn(figure) == seen


def test_whose_logbook(window: Window, client: httpx.Client) -> None:
    practise(client, 1)
    solved(client, 44_000, solver="Maren")
    series_of(client, "evening", solver="Jory")
    page = window.go("logbook")
    whose = page.get_by_label("whose")
    expect(whose.locator("option")).to_have_text(["yours", "Jory", "Maren"])
    whose.select_option("Maren")
    expect(page.locator(".row")).to_have_count(1)
    assert results(page) == ["44.00"]
    whose.select_option("Jory")
    expect(page.get_by_text("No attempt is kept here yet.")).to_be_visible()


def test_many_cubes_have_a_list_of_their_own(window: Window, client: httpx.Client) -> None:
    ident = begin(client, scrambles=["R U", "F D"])
    change(client, ident, memo_ms=60_000, total_ms=100_000)
    for number in (1, 2):
        asked(client, f"attempts/{ident}/cubes/{number}", {"outcome": "solved"}, "PUT")
    page = window.go("logbook")
    expect(page.get_by_text("No attempt is kept here yet.")).to_be_visible()
    page.get_by_role("combobox", name="of", exact=True).select_option("333mbf")
    page.get_by_role("button", name="2/2 in 1:40").click()
    expect(page.locator(".cubes li")).to_have_count(2)
    page.get_by_role("button", name="Progress").click()
    expect(page.get_by_role("heading", name="How often it counted")).to_be_visible()
    expect(page.get_by_role("heading", name="Results, one by one")).to_have_count(0)


def test_an_inquest_is_held_into_one_of_many_cubes_here(window: Window, client: httpx.Client) -> None:
    ident = begin(client, scrambles=["R U", "F D"], method="two-swap")
    change(client, ident, memo_ms=60_000, total_ms=100_000)
    for number, outcome in ((1, "solved"), (2, "dnf")):
        asked(client, f"attempts/{ident}/cubes/{number}", {"outcome": outcome}, "PUT")
    page = window.go("logbook", event="333mbf", open=ident)
    expect(page.locator(".cubes li").first.get_by_role("button")).to_have_count(0)
    page.locator(".cubes li").nth(1).get_by_role("button", name="Hold the inquest").click()
    page.get_by_text("Missing turns").click()
    page.get_by_label("Turns that would still solve it").fill("R")
    page.locator("form").get_by_role("button", name="Hold the inquest").click()
    expect(page.locator(".found")).to_be_visible()
    assert {one["said"].get("cube") for one in asked(client, f"attempts/{ident}")["mistakes"]} == {2}


def test_the_demo_is_marked_and_goes_without_a_trace(
    window: Window, client: httpx.Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(demo, "_EVENINGS", 1)
    page = window.go("logbook")
    page.get_by_role("button", name="Load the demo").click()
    expect(page.get_by_role("note")).to_contain_text("Demo: invented.")
    expect(page.get_by_label("whose").locator("option:checked")).to_have_text("Maren (invented)")
    expect(page.locator(".plot canvas").first).to_be_visible()
    page.get_by_role("button", name="Attempts").click()
    expect(page.locator(".row").first).to_be_visible()
    page.get_by_role("button", name="Remove the demo").click()
    expect(page.get_by_text("No attempt is kept here yet.")).to_be_visible()
    expect(page.get_by_role("note")).to_have_count(0)
    assert asked(client, "solvers")["demo"] == []
