import json
import os
from pathlib import Path

import pytest

from asfitted.publish import Published

from .browser import Browser

SEARCH = """
(() => {
  const field = document.querySelector(".md-search__input")
  field.focus()
  field.value = %s
  field.dispatchEvent(new Event("input", { bubbles: true }))
  field.dispatchEvent(new KeyboardEvent("keyup", { bubbles: true }))
})()
"""


def address(published: Published, name: str) -> str:
    return (published.paths["site"].parent / name).as_uri()


def assert_calm(browser: Browser) -> None:
    assert browser.complaints() == []
    assert [url for url in browser.requests() if not url.startswith(("file:", "data:"))] == []


@pytest.mark.parametrize("page", ["index.html", "circuits.html"])
def test_search_works_from_a_folder(published: Published, browser: Browser, page: str) -> None:
    browser.open(address(published, page))
    browser.evaluate(SEARCH % json.dumps("reading desk"))
    browser.wait_for("document.querySelectorAll('.md-search-result__item').length > 0")
    found = browser.evaluate("[...document.querySelectorAll('.md-search-result__link')].map(a => a.href)")
    assert any("circuits.html" in link for link in found)
    assert_calm(browser)


@pytest.mark.parametrize("width", [360, 1280])
def test_every_page_fits_its_screen_and_asks_nobody(
    published: Published, browser: Browser, width: int
) -> None:
    for path in sorted(published.paths["site"].parent.glob("*.html")):
        browser.open(path.as_uri(), width=width)
        assert browser.evaluate("document.documentElement.scrollWidth") <= width, path.name
        assert browser.evaluate(
            "document.fonts.ready.then(() => document.fonts.check('16px \"Source Sans Pro\"'))"
        )
        assert browser.evaluate("[...document.images].every(image => image.naturalWidth > 0)")
        assert_calm(browser)


def test_a_thumb_hits_every_box_of_a_checklist(published: Published, browser: Browser) -> None:
    browser.open(address(published, "index.html"), width=360)
    heights = browser.evaluate(
        "[...document.querySelectorAll('.checklist label')].map(one => one.getBoundingClientRect().height)"
    )
    assert len(heights) == 3
    assert min(heights) >= 44


@pytest.mark.skipif("AXE" not in os.environ, reason="AXE names no axe.min.js: accessibility is not measured")
@pytest.mark.parametrize("dark", [False, True])
def test_axe_finds_nothing(published: Published, dark: bool) -> None:
    rules = Path(os.environ["AXE"]).read_text(encoding="utf-8")
    browser = Browser()  # a fresh one: the choice of colours is remembered
    try:
        for path in sorted(published.paths["site"].parent.glob("*.html")):
            browser.open(path.as_uri(), dark=dark)
            browser.evaluate(rules + ";0")
            broken = browser.evaluate(
                "axe.run().then(all => all.violations.map(one => [one.id, one.nodes[0].html]))"
            )
            assert broken == [], path.name
    finally:
        browser.close()
