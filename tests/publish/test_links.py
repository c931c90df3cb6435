from dataclasses import replace
from pathlib import Path

import pytest

from asfitted.publish import LinkError, publish
from asfitted.publish.links import check_pages, check_site
from asfitted.publish.markdown_tree import parse_markdown

from .sample import publication, with_page


@pytest.mark.parametrize(
    "link",
    [
        "[x](nowhere.md)",
        "[x](circuits.md#nowhere)",
        "[x](#nowhere)",
        "[x](javascript:alert)",
        "[x](file:///etc/passwd)",
        "![x](figures/nowhere.svg)",
        "![x](https://example.org/x.svg)",
    ],
)
def test_a_link_that_leads_nowhere_is_named(link: str, out: Path) -> None:
    with pytest.raises(LinkError) as caught:
        publish(with_page(publication(0), f"# Extra {{#extra}}\n\n{link}\n"), out, lambda _: None)
    assert "extra.md → " + link.partition("](")[2][:-1] in str(caught.value)
    assert not out.exists()


@pytest.mark.parametrize(
    "link", ["[x](circuits.md)", "[x](circuits.md#circuit-f1)", "[x](#extra)", "[x](https://example.org/a)"]
)
def test_a_good_link_passes(link: str) -> None:
    base = with_page(publication(0), f"# Extra {{#extra}}\n\n{link}\n")
    check_pages(
        {page.id: parse_markdown(page.markdown) for page in base.pages}, [asset.path for asset in base.assets]
    )


def test_an_id_used_twice_is_refused() -> None:
    with pytest.raises(LinkError, match="a#same"):
        check_pages({"a": parse_markdown("# One {#same}\n\n## Two {#same}\n")}, [])


@pytest.mark.parametrize(
    "html",
    [
        '<script src="https://example.org/x.js"></script>',
        '<link rel="stylesheet" href="//example.org/x.css">',
        '<img src="gone.png">',
        '<a href="../outside.html">x</a>',
        '<a href="/index.html">x</a>',
        '<a href="#gone">x</a>',
        '<a href="JavaScript:x">x</a>',
    ],
)
def test_the_finished_site_is_searched_for_foreign_and_dead_addresses(html: str, tmp_path: Path) -> None:
    (tmp_path / "index.html").write_text(f"<h1 id='top'>T</h1><a href='#top'>up</a>{html}")
    with pytest.raises(LinkError):
        check_site(tmp_path)


@pytest.mark.parametrize("page", ["Index", "con", "a b", "../x", "circuits", "lpt1", ""])
def test_a_page_id_must_be_a_file_name_everywhere(page: str, out: Path) -> None:
    from asfitted.publish import Page, PublishError

    base = publication(0)
    with pytest.raises(PublishError) as caught:
        publish(replace(base, pages=(*base.pages, Page(page, "T", "# T {#t}\n"))), out, lambda _: None)
    assert caught.value.code == "page-id"


@pytest.mark.parametrize(
    "path", ["/etc/x.svg", "../x.svg", "figures/../../x.svg", "x.svg", "figures/nul.svg"]
)
def test_an_asset_stays_inside_its_folder(path: str, out: Path) -> None:
    from asfitted.publish import PublishError

    base = publication(0)
    with pytest.raises(PublishError) as caught:
        publish(replace(base, assets=(*base.assets, replace(base.assets[0], path=path))), out, lambda _: None)
    assert caught.value.code == "asset-path"
