"""The quick card is one sheet, legible, with every act of the emergency, on A4, Letter and A5."""

import html
import re
import subprocess
from dataclasses import replace

import pytest

from asfitted.chapters import card
from asfitted.chapters.book import Book
from asfitted.chapters.signs import sign_assets
from asfitted.chapters.template import render
from asfitted.publish.markdown_tree import parse_markdown
from asfitted.publish.model import Page
from asfitted.publish.print import print_card
from tests.publish.sample import publication
from tests.studies.procedures.builds import built

#: nothing smaller is printed (issue: text at least 6 pt)
SMALLEST_PT = 6.0


@pytest.mark.parametrize("paper", ["A4", "Letter", "A5"])
@pytest.mark.parametrize("name", ["paper_lantern", "slow_heron", "tin_kiln"])
def test_one_sheet(name, paper, tmp_path):
    book = Book(built(name), "owner", False, (), {})
    content = card.context(book)
    page = Page(
        "card", "Quick card", render("card", {"edition": "owner", "draft": False, "plugs": True} | content)
    )
    sheet = replace(publication(), paper=paper, pages=(page,), assets=sign_assets((page,)))
    pdf = print_card(sheet, {"card": parse_markdown(page.markdown)}, tmp_path / "work", lambda _: None)
    path = tmp_path / "card.pdf"
    path.write_bytes(pdf)
    boxes = subprocess.run(
        ["pdftotext", "-bbox", str(path), "-"], capture_output=True, text=True, check=True
    ).stdout
    assert boxes.count("<page ") == 1
    heights = [
        float(b) - float(a) for a, b in re.findall(r'yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)"', boxes)
    ]
    assert min(heights) >= SMALLEST_PT - 0.01
    text = subprocess.run(
        ["pdftotext", "-raw", str(path), "-"], capture_output=True, text=True, check=True
    ).stdout
    flat = " ".join(text.split())
    for row in content["emergency"]:
        said = re.sub(r"\[([^]]*)\]\([^)]*\)\{: .designation \}", r"\1", html.unescape(str(row["do"])))
        assert " ".join(said.split()) in flat
