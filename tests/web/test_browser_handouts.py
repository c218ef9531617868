"""Handouts in a real browser: chosen, looked at, fetched as a PDF; a link brings the choice back."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import expect
from pypdf import PdfReader

from tests.web.browser import REFUSED, Window


def test_pages_are_chosen_looked_at_and_fetched(window: Window, tmp_path: Path) -> None:
    page = window.go("handouts")
    pages = page.locator("ol img")
    expect(pages.first).to_be_visible()
    page.get_by_role("radio", name="Lettering").check()
    expect(pages.first).to_have_attribute("alt", "lettering, page 1 of 1")
    page.get_by_label("Blank").check()
    page.get_by_label("without colour").check()
    page.get_by_role("combobox", name="Paper").select_option("letter")
    page.get_by_role("combobox", name="Lettering").select_option("greek")
    window.wait_for_address(kind="lettering", grey="1", paper="letter", lettering="greek", **{"its-blank": "1"})
    link = page.get_by_role("link", name="Fetch the PDF")
    expect(link).to_have_attribute("download", "nightfold-lettering-blank-two-swap-greek-letter-grey.pdf")
    expect(page.get_by_text("--blank")).to_be_visible()
    page.wait_for_function("() => document.querySelector('ol img').naturalWidth === 1000")
    with page.expect_download() as fetched:
        link.click()
    file = tmp_path / fetched.value.suggested_filename
    fetched.value.save_as(file)
    assert file.name == "nightfold-lettering-blank-two-swap-greek-letter-grey.pdf"
    assert "greek" in PdfReader(file).pages[0].extract_text()
    # The address holds the choice.
    page = window.open(page.url)
    expect(page.get_by_role("radio", name="Lettering")).to_be_checked()
    expect(page.get_by_label("Blank")).to_be_checked()
    expect(page.get_by_role("link", name="Fetch the PDF")).to_have_attribute("download", file.name)


def test_a_class_gets_its_sheets_and_the_example_a_page_for_screens(window: Window, tmp_path: Path) -> None:
    page = window.go("handouts", kind="exercises", scramble="R U F")
    expect(page.get_by_role("heading", name="One page")).to_be_visible()
    page.get_by_label("Learners").fill("Wick, Marram")
    expect(page.get_by_role("heading", name="2 pages")).to_be_visible()
    seed = window.address()["its-seed"]
    page.get_by_role("button", name="Deal others").click()
    page.wait_for_function("before => !location.hash.includes(`its-seed=${before}`)", arg=seed)
    # The example takes the cube at hand, and can be had in other forms.
    page.get_by_role("radio", name="Example").check()
    expect(page.get_by_label("Scramble", exact=True)).to_have_value("R U F")
    button = page.get_by_role("button", name="page for screens")
    expect(button).to_be_visible()
    with page.expect_download() as fetched:
        button.click()
    file = tmp_path / "example.html"
    fetched.value.save_as(file)
    assert fetched.value.suggested_filename.endswith(".html")
    assert "R U F" in file.read_text("utf-8")


def test_what_cannot_be_printed_is_said(window: Window) -> None:
    window.expected.append(REFUSED)
    page = window.go("handouts", method="nobodys")
    expect(page.get_by_role("alert")).to_contain_text("There is no method “nobodys”")
    page.get_by_role("combobox", name="Method").select_option("two-swap")
    expect(page.locator("ol img").first).to_be_visible()
