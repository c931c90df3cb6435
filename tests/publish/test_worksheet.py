"""The worksheet end to end in a real browser, from `file://`: typed, kept, exported, read back, judged."""

import html
import json
import shutil
import subprocess
from pathlib import Path

import pytest

from asfitted.description.load import load
from asfitted.description.results import load_results, read_results
from asfitted.pipeline import publish_build
from asfitted.studies.faults.result import FaultStudy
from asfitted.studies.study import study
from tests.studies.builds import varied

from .browser import Browser

SITTING = {"date": "2026-06-02", "by": "T. Ester", "weather": "dry", "temperature": "40"}


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    made = tmp_path_factory.mktemp("lantern")
    (made / "build.yaml").write_text(varied(), encoding="utf-8")
    return made


def built(folder: Path, name: str) -> Path:
    """Publish the description in a folder with whatever results lie beside it; faults are not looked at here."""
    found = study(load(folder / "build.yaml"), load_results(folder))
    found.__dict__["faults"] = FaultStudy((), (), ())
    out = folder / name
    publish_build(found, "inspector", "A4", out, draft=True, progress=lambda _: None, options=False)
    return out


@pytest.fixture(scope="module")
def blank(folder) -> Path:
    return built(folder, "blank")


def sheet(browser: Browser, blank: Path, width: int = 1280) -> None:
    browser.open((blank / "site" / "worksheet.html").as_uri(), width=width)
    browser.wait_for("!!document.querySelector('#worksheet-save textarea')")


def row(test: str, state: str = "") -> str:
    """Return the expression that finds the row of a test in a state."""
    wanted = json.dumps([test, state])
    return (
        "[...document.querySelectorAll('.reading')].find(s => { const r = JSON.parse(s.dataset.row); "
        f"return JSON.stringify([r.test, r.state]) === JSON.stringify({wanted}) }})"
    )


def type_in(browser: Browser, where: str, value: str, event: str = "input") -> None:
    browser.evaluate(
        f"(() => {{ const f = {where}; f.value = {json.dumps(value)}; "
        f"f.dispatchEvent(new Event('{event}', {{bubbles: true}})) }})()"
    )


def read(browser: Browser, test: str, value: str, state: str = "", outcome: str = "") -> str:
    """Type one reading and return the verdict that stands beside it."""
    place = row(test, state)
    if outcome:
        type_in(browser, f"{place}.querySelector('select')", outcome, "change")
    if value:
        type_in(browser, f"{place}.querySelector('input')", value)
    return browser.evaluate(f"{place}.closest('tr').querySelector('.verdict').textContent")


def sitting(browser: Browser) -> None:
    for of, value in SITTING.items():
        type_in(
            browser, f"document.querySelector('.entry[data-of={of}]:not([data-instrument]) input')", value
        )
    for of, value in (("serial", "LR-1"), ("calibrated", "2026-01-02")):
        type_in(
            browser, f"document.querySelector('.entry[data-instrument=low-ohm][data-of={of}] input')", value
        )


def test_readings_are_judged_kept_exported_read_back_and_printed(folder, blank, browser):
    sheet(browser, blank)
    sitting(browser)
    # 53.2 mΩ calculated; 0.12 Ω at 40 °C is 0.111 Ω at 20 °C, within 0.114 Ω (R / (1 + 0.00393 · 20))
    assert read(browser, "continuity.heater", "0.12").startswith("pass, 0.111")
    assert read(browser, "continuity.tea_corner", "0,31").startswith("fail")
    assert read(browser, "insulation.heater", ">200") == "pass"
    assert read(browser, "insulation.charger", ">0.2") == "not clear"
    assert read(browser, "rcd-trip.tea_corner", "24", "on the road") == "pass"
    assert read(browser, "rcd-trip.reading_desk", "350", "on the road") == "fail"
    assert read(browser, "loop.tea_corner", "0.05", "plugged in").startswith("cannot be")
    assert read(browser, "covers", "", outcome="pass") == "pass"
    assert "reason" in read(browser, "brown-out.changeover", "", outcome="limitation")
    assert read(browser, "brown-out.changeover", "no variable supply") == "limitation"
    assert "9 of" in browser.evaluate("document.querySelector('.count').textContent")

    sheet(browser, blank)  # opened again: everything is still there
    assert browser.evaluate(f"{row('continuity.tea_corner')}.querySelector('input').value") == "0,31"
    assert browser.evaluate("document.querySelector('.entry[data-of=by] input').value") == SITTING["by"]
    assert browser.requests() == [r for r in browser.requests() if r.startswith(("file:", "data:", "blob:"))]
    assert browser.complaints() == []

    text = browser.evaluate("document.querySelector('#worksheet-save textarea').value")
    file = read_results(text)
    assert file.problems == ()
    assert file.build == "PL-1"
    (folder / "results.yaml").write_text(text, encoding="utf-8")
    judged = study(load(folder / "build.yaml"), load_results(folder)).commissioning
    states = {state.name: state.id for state in study(load(folder / "build.yaml")).states}

    def verdict(test: str, state: str = "") -> str:
        return judged.judgement.last(test, states.get(state, "")).verdict

    assert verdict("continuity.heater") == "pass"
    assert verdict("continuity.tea_corner") == "fail"
    assert verdict("insulation.charger") == "unsure"
    assert verdict("rcd-trip.reading_desk", "on the road") == "fail"
    assert verdict("loop.tea_corner", "plugged in") == "contradicts"
    assert verdict("brown-out.changeover") == "limitation"

    out = built(folder, "done")
    page = html.unescape((out / "site" / "tests.html").read_text(encoding="utf-8"))
    assert "0.31 ohm (0.287\u00a0Ω at 20\u00a0°C): fail" in page
    assert "350\u00a0ms: fail" in page
    if shutil.which("pdftotext"):
        book = subprocess.run(
            ["pdftotext", "-layout", str(out / "manual.pdf"), "-"], capture_output=True, text=True, check=True
        ).stdout.replace("\u00a0", " ")
        assert "350 ms: fail" in book
        assert "no variable supply" in book


def test_a_browser_that_keeps_nothing_still_judges_and_exports(blank, browser):
    browser.call(
        "Page.addScriptToEvaluateOnNewDocument",
        source="Object.defineProperty(window, 'localStorage', {get() { throw new Error('refused') }})",
    )
    sheet(browser, blank)
    sitting(browser)
    assert read(browser, "covers", "", outcome="pass") == "pass"
    assert "keeps nothing" in browser.evaluate("document.querySelector('#worksheet-save').textContent")
    assert '"covers": "pass"' in browser.evaluate("document.querySelector('#worksheet-save textarea').value")


@pytest.mark.parametrize("width", [360, 1280])
def test_the_sheet_fits_the_screen_and_a_thumb(blank, browser, width):
    sheet(browser, blank, width)
    assert browser.evaluate("document.documentElement.scrollWidth") <= width
    low = browser.evaluate(
        "Math.min(...[...document.querySelectorAll('.worksheet input, .worksheet select')]"
        ".filter(f => f.offsetParent).map(f => f.getBoundingClientRect().height))"
    )
    assert low >= 24  # WCAG 2.2, 2.5.8
    unnamed = "[...document.querySelectorAll('.worksheet input, .worksheet select')].filter(f => !f.ariaLabel).length"
    assert browser.evaluate(unnamed) == 0


def test_on_paper_the_sheet_is_blank(blank, browser):
    sheet(browser, blank)
    sitting(browser)
    browser.call("Emulation.setEmulatedMedia", media="print")
    try:
        shown = "getComputedStyle(document.querySelector('.worksheet {}')).display"
        assert browser.evaluate(shown.format(".reading input")) == "none"
        assert browser.evaluate(shown.format(".blank")) != "none"
        assert (
            browser.evaluate("getComputedStyle(document.querySelector('#worksheet-save')).display") == "none"
        )
    finally:
        browser.call("Emulation.setEmulatedMedia", media="")


def test_what_is_typed_cannot_become_anything_else():
    """A name or reason with marks of YAML in it is read back as it was typed."""
    hostile = 'x: {y}, "z" # [a] *b &c !d | > %e'
    text = (
        'results: 1\nbuild: "PL-1"\nrevision: 2\nsessions:\n  - date: "2026-06-02"\n'
        f'    by: {json.dumps(hostile)}\n    weather: "dry"\n    temperature: "14 °C"\n    readings:\n'
        f'      "covers": {json.dumps(f"fail ({hostile})")}\n'
    )
    file = read_results(text)
    assert file.problems == ()
    assert file.sessions[0].by == hostile
    assert file.sessions[0].entries[0].reading.note == hostile
