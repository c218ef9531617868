"""What must be in sight, in a real browser: every ghost of the cube, the open screen's tab, and the look of a link."""

from __future__ import annotations

import base64
from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from playwright.sync_api import Page, expect

from tests.web.browser import NARROW, WIDE, Window
from tests.web.desk import SCRAMBLE, put

Another = Callable[..., AbstractContextManager[Window]]

#: The share of the picture that something is drawn on, and of its rim.
_DRAWN = """async encoded => {
  const bytes = Uint8Array.from(atob(encoded), char => char.charCodeAt(0));
  const picture = await createImageBitmap(new Blob([bytes], { type: 'image/png' }));
  const { width, height } = picture;
  const pen = new OffscreenCanvas(width, height).getContext('2d');
  pen.drawImage(picture, 0, 0);
  const { data } = pen.getImageData(0, 0, width, height);
  const [r, g, b] = data;
  let [inside, rim] = [0, 0];
  for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) {
    const at = 4 * (y * width + x);
    const drawn = Math.abs(data[at] - r) + Math.abs(data[at + 1] - g) + Math.abs(data[at + 2] - b) > 24;
    if (!drawn) continue;
    inside++;
    if (x < 2 || y < 2 || x >= width - 2 || y >= height - 2) rim++;
  }
  return [inside / (width * height), rim];
}"""


def drawn(page: Page) -> tuple[float, int]:
    """How much of the picture of the cube is drawn on, and how many of the pixels at its rim."""
    canvas = page.locator("canvas")
    canvas.wait_for()
    share, rim = 0.0, 0
    for _ in range(100):  # until the first picture is there
        taken = base64.b64encode(canvas.screenshot()).decode()
        share, rim = page.evaluate(_DRAWN, taken)
        if share:
            break
        page.wait_for_timeout(100)
    return share, rim


@pytest.mark.parametrize("width", [WIDE, NARROW])
@pytest.mark.parametrize("look", ["", "0,0", "45,12", "-130,32", "20,-50", "70,77"])
def test_the_cube_and_all_its_ghosts_fit_into_the_view(another: Another, width: int, look: str) -> None:
    with another(width=width) as window:
        put(window, SCRAMBLE, **({"look": look} if look else {}))
        # The bar that plays the solve floats over what is below; here only the picture counts.
        window.page.evaluate("document.querySelector('.play').style.position = 'static'")
        share, rim = drawn(window.page)
        assert share > 0.1
        assert rim == 0
        with_ghosts = share
        window.page.get_by_role("button", name="hidden faces").click()
        expect(window.page.get_by_role("button", name="hidden faces")).to_have_attribute("aria-pressed", "false")
        window.page.mouse.move(1, 1)
        share, rim = drawn(window.page)
        assert rim == 0
        assert share != with_ghosts


def test_where_the_cube_is_looked_at_from_stands_in_the_address(window: Window, another: Another) -> None:
    put(window)
    canvas = window.page.locator("canvas")
    canvas.focus()
    window.page.keyboard.press("ArrowLeft")
    window.page.keyboard.press("ArrowUp")
    window.wait_for_address(look="30,39")
    box = canvas.bounding_box()
    assert box
    middle = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    window.page.mouse.move(*middle)
    window.page.mouse.down()
    for step in range(1, 120):
        window.page.mouse.move(middle[0] + step, middle[1])
    window.page.mouse.up()
    window.page.wait_for_function("() => !location.hash.includes('look=30')")
    look = window.address()["look"]
    assert look.endswith(",39")
    with another() as other:
        put(other, SCRAMBLE, look=look)
        other.page.locator("canvas").focus()
        other.page.keyboard.press("ArrowDown")
        other.wait_for_address(look=look.replace(",39", ",28"))
    canvas.focus()
    window.page.keyboard.press("Home")
    window.page.wait_for_function("() => !location.hash.includes('look=')")


@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_the_open_screen_s_tab_is_in_sight(another: Another, width: int) -> None:
    with another(width=width) as window:
        page = window.go("desk")
        names = page.get_by_role("navigation").get_by_role("link").all_inner_texts()
        assert len(names) >= 6
        for name in (*names, *reversed(names)):
            page.get_by_role("navigation").get_by_role("link", name=name).click()
            tab = page.locator("nav [aria-current=page]")
            expect(tab).to_have_text(name)
            page.wait_for_function(
                "() => { const nav = document.querySelector('nav').getBoundingClientRect();"
                " const tab = document.querySelector('nav [aria-current=page]').getBoundingClientRect();"
                " return tab.left >= nav.left - 1 && tab.right <= nav.right + 1 }"
            )
        # Opened by a link, too.
        window.go("help")
        expect(page.locator("nav [aria-current=page]")).to_be_in_viewport(ratio=0.99)
