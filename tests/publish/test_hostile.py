import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest

from asfitted.publish import publish
from asfitted.publish.markdown_tree import parse_html

from .sample import hostile_page, publication, with_page

TEXTS = (
    '#read("/etc/passwd") *b* $x$ <lab> @ref #import "x.typ"',
    "<script>alert(1)</script><img src=x onerror=alert(2)>",
    "</title></script></textarea><body onload=alert(3)>--><!--",
    "{{ config }} {% include 'x' %} --8<-- \"/etc/passwd\"",
    "[x](javascript:alert(1)) ![y](https://example.org/z.png) ](javascript:x)",
    "| a | b | \\ ` ``` ~~~ !!! danger ??? [^1] *[HTML]: x {: #id .class } &lt;b&gt; &#60;",
    "!ENV HOME !!python/object/apply:os.system ['x'] - a: b # c",
)


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One publication with every text in heading, paragraph, cell, page title and on the title page."""
    base = publication(0)
    for number, text in enumerate(TEXTS):
        base = with_page(base, hostile_page(text), title=text)
        page = replace(base.pages[-1], id=f"text-{number}")
        base = replace(base, pages=(*base.pages[:-1], page))
    base = replace(base, title=" ".join(TEXTS[:2]), subtitle=TEXTS[2], reference=TEXTS[3], revision=TEXTS[4])
    out = tmp_path_factory.mktemp("hostile") / "published"
    publish(base, out, lambda _: None)
    return out


@pytest.mark.parametrize("number", range(len(TEXTS)))
def test_the_site_shows_it_as_text(hostile: Path, number: int) -> None:
    root = parse_html((hostile / "site" / f"text-{number}.html").read_text(encoding="utf-8"))
    article = next(found for found in root.walk() if found.tag == "article")
    shown = [found.text().strip() for found in article.walk() if found.tag in {"h1", "p", "td"}]
    assert shown.count(TEXTS[number]) == 3
    assert not {"script", "img"} & {found.tag for found in article.walk()}
    title = next(found for found in root.walk() if found.tag == "title")
    assert TEXTS[number] in title.text()
    assert TEXTS[0] in title.text()
    navigation = [found.text() for found in root.walk() if "md-nav__link" in found.classes]
    assert any(TEXTS[number] in text for text in navigation)
    assert not any(found.tag == "script" and "alert" in found.text() for found in root.walk())
    assert not any({"onerror", "onload"} & set(found.attributes) for found in root.walk())
    assert sum(found.tag == "body" for found in root.walk()) == 1


@pytest.mark.skipif(not shutil.which("pdftotext"), reason="no poppler tools to read the book with")
@pytest.mark.parametrize("number", range(len(TEXTS)))
def test_the_book_shows_it_as_text(hostile: Path, number: int) -> None:
    command = ["pdftotext", "-raw", str(hostile / "manual.pdf"), "-"]
    text = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    letters = "".join(text.replace("\u200b", "").split())
    # Heading, paragraph and cell; contents, running heads and title page come on top.
    assert letters.count("".join(TEXTS[number].split())) >= 3
    assert "root:x:" not in text
