"""The publish room: finished pages and figures become a site and a book, put in place as one.

publish(publication, out, progress)    writes OUT/site, OUT/manual.pdf, OUT/quick_card.pdf and OUT/record.json
preview.preview(build, watch, address) serves the site while the build description is being written
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from asfitted.description.audience import Edition
from asfitted.publish.errors import LinkError, OutputError, PublishError, RenderError
from asfitted.publish.links import check_pages, check_site
from asfitted.publish.lint import check_pages_read
from asfitted.publish.markdown_tree import parse_markdown
from asfitted.publish.model import Asset, Page, PaperName, Publication, check_names
from asfitted.publish.print import CARD, print_book, print_card
from asfitted.publish.site import SiteBuild, write_sources
from asfitted.publish.swap import replacing

__all__ = [
    "Asset",
    "Edition",
    "LinkError",
    "OutputError",
    "Page",
    "PaperName",
    "Publication",
    "PublishError",
    "Published",
    "RenderError",
    "publish",
    "write_sources",
]

SITE, MANUAL, QUICK_CARD, RECORD = "site", "manual.pdf", "quick_card.pdf", "record.json"


@dataclass(frozen=True)
class Published:
    """Where the publication stands, and how much it holds: pages, figures, links looked at."""

    paths: dict[str, Path]
    counts: dict[str, int]


def publish(publication: Publication, out: Path, progress: Callable[[str], None]) -> Published:
    """Write site, book and record of `publication` into the folder `out`, all or nothing.

    `progress` is told one sentence per stage. Raises PublishError; the publication that stood in `out` before
    then still stands there.
    """
    words = publication.words["progress"]
    out = out.absolute()
    check_names(publication)
    roots = {page.id: parse_markdown(page.markdown) for page in publication.pages}
    check_pages_read(roots)
    check_pages(roots, [asset.path for asset in publication.assets])
    with replacing(out) as (new, scraps):
        progress(words["pages"].format(pages=len(publication.pages), assets=len(publication.assets)))
        write_sources(publication, scraps / "sources")
        progress(words["site"])
        # The generator is another process: the book is set meanwhile.
        with SiteBuild(scraps / "sources", new / SITE, publication.timestamp) as site:
            progress(words["book"])
            (new / MANUAL).write_bytes(print_book(publication, roots, scraps / "book", progress))
            if CARD in roots:
                (new / QUICK_CARD).write_bytes(print_card(publication, roots, scraps / "card", progress))
            site.finish()
        (new / RECORD).write_bytes(publication.record)
        progress(words["check"])
        links = check_site(new / SITE)
        _check_complete(new)
        progress(words["swap"].format(out=out))
    return Published(
        paths={"site": out / SITE / "index.html", "manual": out / MANUAL, "record": out / RECORD},
        counts={"pages": len(publication.pages), "figures": len(publication.assets), "links": links},
    )


def _check_complete(new: Path) -> None:
    for name in (f"{SITE}/index.html", MANUAL, RECORD):
        if not (new / name).is_file() or not (new / name).stat().st_size:
            raise OutputError("incomplete", what=name)
    manual = (new / MANUAL).read_bytes()
    if not manual.startswith(b"%PDF-") or b"%%EOF" not in manual[-32:]:
        raise OutputError("incomplete", what=MANUAL)
