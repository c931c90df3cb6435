"""From description to publication: the figures of the example, as the book of each paper sets them."""

import re
import shutil
import subprocess
import time
from dataclasses import replace

import pytest

from asfitted.figures.earthing import earthing, earthing_states
from asfitted.figures.layout import PAPERS
from asfitted.figures.single_line import single_line
from asfitted.figures.state_figures import state_figures
from asfitted.pipeline import publication
from asfitted.publish.markdown_tree import parse_markdown
from asfitted.publish.paper import PAPERS as SHEETS
from asfitted.publish.pictures import natural_size_pt, place
from asfitted.publish.print import print_book
from tests.studies.builds import studied


@pytest.mark.parametrize("paper", ["A4", "Letter", "A5"])
def test_figures_stand_in_the_text_at_their_true_size(paper):
    found = publication(studied(), "owner", paper)
    assert len(found.assets) == len({asset.path for asset in found.assets})
    figures = [asset for asset in found.assets if asset.path.startswith("figures/")]
    assert len(figures) > 10
    illustrated = "".join(page.markdown for page in found.pages[1:])
    captions = dict(re.findall(r"!\[.*\]\((.*)\)\n<figcaption markdown>(.*)</figcaption>", illustrated))
    assert captions.keys() == {asset.path for asset in figures}
    for asset in figures:
        placed = place(asset, SHEETS[paper], turned=False, alone=True, caption=captions[asset.path])
        assert placed.sheet == "none", asset.path
        assert placed.width_pt == pytest.approx(natural_size_pt(asset.data)[0], abs=0.1), asset.path
        sizes = [float(size) for size in re.findall(rb'font-size="([\d.]+)"', asset.data)]
        assert min(sizes) >= 6, asset.path


@pytest.mark.skipif(not shutil.which("pdftotext"), reason="no poppler tools to read the book with")
@pytest.mark.parametrize("paper", ["A4", "Letter", "A5"])
def test_the_first_figure_stands_below_the_heading_of_its_chapter(paper, tmp_path):
    found = publication(studied(), "owner", paper)
    chapters = tuple(page for page in found.pages if page.id in ("system", "states"))
    found = replace(found, pages=chapters)
    roots = {page.id: parse_markdown(page.markdown) for page in found.pages}
    book = tmp_path / "book.pdf"
    book.write_bytes(print_book(found, roots, tmp_path / "work", lambda _: None))
    text = subprocess.run(
        ["pdftotext", "-layout", book, "-"], capture_output=True, text=True, check=True
    ).stdout
    (page,) = [page for page in text.split("\f") if re.search(r"^Your system$", page, re.MULTILINE)]
    assert "Figure 1" in page
    sizes = subprocess.run(["pdfinfo", "-l", "99", book], capture_output=True, text=True, check=True).stdout
    upright = [float(w) < float(h) for w, h in re.findall(r"size: +([\d.]+) x ([\d.]+)", sizes)]
    assert len(upright) > 5
    assert all(upright)


def test_all_figures_of_the_example_in_a_second():
    build, room = studied(), PAPERS["A4 portrait"]
    start = time.process_time()
    single_line(build.network, room)
    earthing(build.network, room)
    earthing_states(build.network, build.states, room)
    state_figures(build.network, build.states, room)
    assert time.process_time() - start < 3  # under 1 s on a quiet machine
