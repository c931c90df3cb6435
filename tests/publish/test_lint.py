import pytest

from asfitted.publish import RenderError
from asfitted.publish.lint import check_pages_read
from asfitted.publish.markdown_tree import parse_markdown


@pytest.mark.parametrize(
    "markdown", ["", "words", "## Two", "# One\n\n### Three", "# One\n\n# Again", "# One\n\n## Two\n\n# One"]
)
def test_a_page_out_of_order_is_named(markdown: str) -> None:
    with pytest.raises(RenderError, match="Page “sheets”"):
        check_pages_read({"index": parse_markdown("# One"), "sheets": parse_markdown(markdown)})


def test_steps_down_are_single_and_steps_up_free() -> None:
    check_pages_read({"index": parse_markdown("# One\n\n## A\n\n### B\n\n#### C\n\n## D\n")})


def test_markdown_that_nobody_read_is_named() -> None:
    unread = "# One\n\n<ul>\n<li markdown='span'>**loud**</li>\n</ul>\n"
    with pytest.raises(RenderError) as caught:
        check_pages_read({"index": parse_markdown(unread)})
    assert caught.value.fields == {"page": "index", "tag": "li", "text": "**loud**"}
    check_pages_read({"index": parse_markdown(unread.replace("<ul>", "<ul markdown>"))})
