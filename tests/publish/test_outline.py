import pytest

from asfitted.publish import RenderError
from asfitted.publish.markdown_tree import parse_markdown
from asfitted.publish.outline import check_outline


@pytest.mark.parametrize(
    "markdown", ["", "words", "## Two", "# One\n\n### Three", "# One\n\n# Again", "# One\n\n## Two\n\n# One"]
)
def test_a_page_out_of_order_is_named(markdown: str) -> None:
    with pytest.raises(RenderError, match="Page “sheets”"):
        check_outline({"index": parse_markdown("# One"), "sheets": parse_markdown(markdown)})


def test_steps_down_are_single_and_steps_up_free() -> None:
    check_outline({"index": parse_markdown("# One\n\n## A\n\n### B\n\n#### C\n\n## D\n")})
