import re
import shutil
import subprocess
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest

from asfitted.publish import Publication, Published, PublishError, publish
from asfitted.publish.markdown_tree import parse_markdown
from asfitted.publish.print import book_data, print_book

from .sample import CAUTIONS, circuits_page, figure, publication, with_page

pytestmark = pytest.mark.skipif(
    not shutil.which("pdftotext"), reason="no poppler tools to read the book with"
)


def run(*command: str | Path) -> str:
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def page_texts(pdf: Path) -> list[str]:
    return run("pdftotext", "-layout", pdf, "-").split("\f")[:-1]


def set_book(base: Publication, folder: Path) -> Path:
    folder.mkdir(parents=True)
    roots = {page.id: parse_markdown(page.markdown) for page in base.pages}
    pdf = folder / "book.pdf"
    pdf.write_bytes(print_book(base, roots, folder / "work", lambda _: None))
    return pdf


def words(pdf: Path) -> list[tuple[float, float, float, float, str]]:
    """Return page width, page height, right edge, lower edge and text of every word."""
    html = re.sub(r'<!DOCTYPE[^>]*>|\sxmlns="[^"]*"', "", run("pdftotext", "-bbox", pdf, "-"))
    found = []
    for page in ElementTree.fromstring(html).iter("page"):  # noqa: S314 - of our own book
        width, height = float(page.get("width", 0)), float(page.get("height", 0))
        for word in page.iter("word"):
            right, lower = float(word.get("xMax", 0)), float(word.get("yMax", 0))
            found.append((width, height, right, lower, word.text or ""))
    return found


def test_the_book_is_tagged_archival_and_titled(published: Published) -> None:
    manual = published.paths["manual"]
    info, meta = run("pdfinfo", manual), run("pdfinfo", "-meta", manual)
    assert re.search(r"^Tagged: +yes", info, re.MULTILINE)
    assert re.search(r"^Title: +The Paper Lantern, a travelling library", info, re.MULTILINE)
    assert re.search(r"^CreationDate: +Tue May 12 \d\d:00:00 2026", info, re.MULTILINE)
    assert "<pdfuaid:part>1<" in meta
    assert "<pdfaid:part>2<" in meta
    assert "<pdfaid:conformance>A<" in meta
    fonts = {line.split()[0][7:] for line in run("pdffonts", manual).splitlines()[2:]}
    assert {font.removesuffix("-Identity-H") for font in fonts} <= {
        "SourceSansPro-Regular",
        "SourceSansPro-Semibold",
        "SourceSansPro-Bold",
        "SourceSansPro-It",
        "DejaVuSansMono",
    }
    structure = run("pdfinfo", "-struct", manual)
    for tag in ("H1", "H2", "Figure", "TH", "TD", "L", "Caption", "Note", "Link"):
        assert re.search(rf"^\s*{tag}\b", structure, re.MULTILINE), tag


def test_every_sheet_tells_what_it_belongs_to(published: Published) -> None:
    texts = page_texts(published.paths["manual"])
    for number, text in enumerate(texts[1:], start=2):
        assert "PL-1 · Revision 3" in text
        assert "3f9a2c41d07b" in text
        assert f"Page {number} of {len(texts)}" in text
        assert "DRAFT" not in text


def test_a_reference_names_the_page_where_its_target_stands(published: Published) -> None:
    texts = page_texts(published.paths["manual"])
    about = next(text for text in texts if "This record describes" in text)
    named = re.search(r"circuit F1 \(page (\d+)\)", about)
    assert named
    assert re.search(r"^\s*Circuit F1$", texts[int(named[1]) - 1], re.MULTILINE)
    contents = re.search(r"^\s*Circuit F1 +(\d+)$", texts[1], re.MULTILINE)
    assert contents
    assert contents[1] == named[1]


def test_a_page_is_named_once_in_a_paragraph_and_never_in_a_table(tmp_path: Path) -> None:
    link, cell = "[F1](circuits.md#circuit-f1)", "[in a cell](circuits.md#circuit-f1)"
    text = f"{link} and {link} and [the sheets](sheets.md).\n\n| A | B |\n|---|---|\n| {cell} | b |\n"
    last = page_texts(set_book(with_page(publication(0), f"# Extra {{#extra}}\n\n{text}"), tmp_path / "a"))[
        -1
    ]
    assert re.search(r"F1 \(page \d+\) and F1 and the sheets \(page \d+\)\.", last)
    assert re.search(r"in a cell +b", last)


def test_a_long_table_repeats_its_head(published: Published) -> None:
    heads = [text for text in page_texts(published.paths["manual"]) if "Voltage drop (V)" in text]
    assert len(heads) == 2
    assert "F1 " in heads[0]
    assert "F70 " in heads[1]


def test_wide_content_stands_across(published: Published) -> None:
    sizes = run("pdfinfo", "-f", "1", "-l", "99", published.paths["manual"])
    widths = [float(width) for width in re.findall(r"size: +([\d.]+) x", sizes)]
    texts = page_texts(published.paths["manual"])
    across = [text for text, width in zip(texts, widths, strict=True) if width > 700]
    assert any("Every state against every circuit" in text for text in across)
    assert any("A drawing that is wider than the sheet." in text and "The drawing" in text for text in across)
    assert all(width < 700 for text, width in zip(texts, widths, strict=True) if "upright again" in text)


def test_what_is_for_the_screen_only_is_not_printed(published: Published) -> None:
    text = "".join(page_texts(published.paths["manual"]))
    assert "Keep this book in the door" in text
    assert "Pages open from the list" not in text


@pytest.mark.parametrize("paper", ["A4", "Letter", "A5"])
def test_nothing_runs_off_the_sheet(paper: str, tmp_path: Path) -> None:
    long_words = " | ".join(["Disconnection/time_of_the_residual-current-device" + "x" * 30] * 6)
    base = replace(publication(1), paper=paper, draft=True)  # type: ignore[arg-type]
    base = with_page(base, f"# Extra {{#extra}}\n\n| {long_words} |\n{'|---' * 6}|\n| {long_words} |\n")
    pdf = set_book(base, tmp_path / "a")
    found = words(pdf)
    outside = [
        word for width, height, right, lower, word in found if right > width - 28 or lower > height - 14
    ]
    assert set(outside) <= {"DRAFT"}  # the mark behind the text, which runs from corner to corner
    assert all("DRAFT" in text for text in page_texts(pdf))


def test_a_heading_is_never_left_at_the_foot_of_a_sheet(tmp_path: Path) -> None:
    for lines in range(30, 44, 2):
        filler = "".join(f"Line {n}.\n\n" for n in range(lines))
        base = with_page(
            publication(0), f"# Extra {{#extra}}\n\n{filler}## Below {{#below}}\n\nRight after.\n"
        )
        texts = page_texts(set_book(base, tmp_path / str(lines)))
        assert any("Below\n" in text and "Right after." in text for text in texts)


def test_a_caution_stays_whole(tmp_path: Path) -> None:
    for lines in range(34, 42, 2):
        filler = "".join(f"Line {n}.\n\n" for n in range(lines))
        base = with_page(publication(0), f"# Extra {{#extra}}\n\n{filler}{CAUTIONS}")
        texts = page_texts(set_book(base, tmp_path / str(lines)))[-2:]
        assert any("DANGER" in text and "Cover them before" in text for text in texts)
        assert any("WARNING" in text and "Two supplies feed" in text for text in texts)


def test_a_figure_without_alternative_text_is_refused(out: Path) -> None:
    base = publication(0)
    mute = replace(base.assets[0], alt=" ")
    base = replace(base, assets=(mute, *base.assets[1:]))
    base = with_page(base, "# Extra {#extra}\n\n" + figure(1, "C").replace("Single-line figure 1", ""))
    with pytest.raises(PublishError) as caught:
        publish(base, out, lambda _: None)
    assert (caught.value.code, caught.value.fields["page"]) == ("no-alternative-text", "extra")


def test_letters_that_no_font_has_are_boxed_and_reported(out: Path) -> None:
    told: list[str] = []
    base = with_page(publication(0), "# Extra {#extra}\n\nLantern 灯 and lamp → ✓.\n")
    result = publish(base, out, told.append)
    assert any("灯" in line for line in told)
    assert not any("→" in line for line in told)
    assert "灯" in (result.paths["site"].parent / "extra.html").read_text(encoding="utf-8")


def test_the_data_of_the_book_hold_text_untouched() -> None:
    base = publication(0)
    roots = {page.id: parse_markdown(page.markdown) for page in base.pages}
    chapters = book_data(base, roots)["chapters"]
    table = next(block for block in chapters[1] if block["k"] == "table")
    assert len(table["rows"]) == circuits_page().count("\n| [F") == 70
    assert table["align"] == ["left", "left", "right", "right", "right", "right"]
    levels = [block["level"] for block in chapters[1] if block["k"] == "caution"]
    assert levels == ["danger", "warning", "caution", "notice"]
    checklist = next(block for block in chapters[0] if block["k"] == "checklist")
    assert len(checklist["items"]) == 3
