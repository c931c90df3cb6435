"""The record for the inspector: every outcome said, signatures shut while anything is open."""

import html
import re

from tests.conftest import EXAMPLES
from tests.studies.builds import studied

from asfitted import words
from asfitted.chapters import inspection_record
from asfitted.chapters.book import Book
from asfitted.chapters.template import render
from asfitted.description.fingerprint import fingerprint
from asfitted.description.load import load
from asfitted.description.results import load_results
from asfitted.studies.study import study


def page_of(build):
    context = inspection_record.context(Book(build, "inspector", bool(build.barred), (), {}))
    return context, html.unescape(render("inspection-record", {"edition": "inspector", **context}))


def example():
    return study(load(EXAMPLES / "paper_lantern" / "build.yaml"), load_results(EXAMPLES / "paper_lantern"))


def test_no_outcome_is_ever_blank():
    known = {*words.catalogue("commissioning")["verdicts"].values(), "not done"}
    for build in (example(), studied()):
        context, _ = page_of(build)
        assert {row["outcome"] for row in context["inspections"]} <= known
        assert all(cell["text"] for row in context["results"] for cell in row["cells"])


def test_note_62s_schedule_of_inspections_is_complete():
    """Inspector's note 62, item by item."""
    items = " ".join(row["item"] for row in words.catalogue("inspection_record")["schedule"])
    for asked in (
        "link from neutral to earth", "photographed", "supply inlet", "supply lead", "gas and electricity",
        "extra-low voltage", "sharp edges", "crash and roll", "isolators reached from the door", "IP code",
        "solar array", "shower", "only way out", "what was not",
    ):  # fmt: skip
        assert asked in items, asked


def test_a_limitation_is_printed_with_its_reason_and_what_stayed_shut_is_declared():
    context, _ = page_of(example())
    assert "the lining of the roof was not taken down" in context["not_opened"]["text"]
    assert any(row["reason"].startswith("the lining of the roof") for row in context["inspections"])
    assert "**Not declared.**" in page_of(studied())[1]


def test_signatures_stay_shut_while_something_is_not_done():
    context, page = page_of(studied())
    assert context["not_done"]
    assert "**Not to be signed.**" in page
    assert "| Design |" not in page


def test_signatures_stay_shut_with_a_finding_that_needs_investigation():
    """Note 38: for a first verification D, P and F block the signature line."""
    done = example()
    context, page = page_of(done)
    grades = {finding.grade.value for finding in done.findings}
    blocks = {grade.value for grade in inspection_record.BLOCKS}
    assert bool(context["blocking"]) == bool(grades & blocks)
    assert ("| Design |" in page) == (not context["blocking"] and not context["not_done"])


def test_the_record_bears_the_fingerprint_of_the_description():
    build = studied()
    mark = re.findall(r"<code>([0-9a-f]{32})</code>", page_of(build)[1])
    assert "".join(mark) == fingerprint(build.loaded)
