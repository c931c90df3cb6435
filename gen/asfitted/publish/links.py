"""Our own table of links: every one must end somewhere, in the pages and in the finished site."""

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path, PurePosixPath
from urllib.parse import unquote, urlsplit

from asfitted.publish.errors import LinkError
from asfitted.publish.markdown_tree import Element, parse_html

_OUTSIDE = frozenset({"http", "https", "mailto", "tel"})
# What a browser fetches by itself when it opens a page; an anchor is only fetched when somebody follows it.
_FETCHED = {"img": "src", "script": "src", "link": "href", "iframe": "src", "source": "src"}


def label(page: str, anchor: str) -> str:
    """Return the name of a place in the whole publication: page id and anchor."""
    return f"{page}#{anchor}"


def local_target(page: str, address: str) -> str | None:
    """Return the label that a link on `page` leads to, or None if it leaves the pages."""
    parts = urlsplit(address)
    if parts.scheme or parts.netloc:
        return None
    return label(parts.path.removesuffix(".md") if parts.path else page, unquote(parts.fragment))


def labels(page: str, root: Element) -> list[str]:
    """Return every place on a page that a link can name; the page itself has the empty anchor."""
    anchors = (found.attributes["id"] for found in root.walk() if "id" in found.attributes)
    return [label(page, ""), *(label(page, anchor) for anchor in anchors)]


def check_pages(roots: Mapping[str, Element], files: Iterable[str]) -> None:
    """Raise LinkError for links and pictures that lead nowhere, ids used twice and forbidden addresses.

    `roots` are the trees by page id; `files` the paths of the assets.
    """
    places = [place for page, root in roots.items() for place in labels(page, root)]
    known = {*places, *(label(path, "") for path in files)}
    broken = [f"{place} ×{places.count(place)}" for place in dict.fromkeys(places) if places.count(place) > 1]
    for page, root in roots.items():
        for found in root.walk():
            address = found.attributes.get({"a": "href", "img": "src"}.get(found.tag, ""))
            if address is None:
                continue
            target = local_target(page, address)
            outside = target is None and found.tag == "a" and urlsplit(address).scheme.lower() in _OUTSIDE
            if not outside and target not in known:
                broken.append(f"{page}.md → {address}")
    _refuse(broken)


def check_site(folder: Path) -> int:
    """Check every address in the finished site; return how many were looked at.

    Raises LinkError for a file or anchor that is not there and for anything that a browser would fetch from
    another host.
    """
    roots = {path: parse_html(path.read_text(encoding="utf-8")) for path in sorted(folder.rglob("*.html"))}
    anchors = {
        path: {found.attributes.get("id") or found.attributes.get("name") for found in root.walk()}
        for path, root in roots.items()
    }
    looked_at, broken = 0, []
    for path, root in roots.items():
        for address, fetched in _addresses(root):
            looked_at += 1
            if not _resolves(folder, path, address, fetched, anchors):
                broken.append(f"{path.relative_to(folder)} → {address}")
    _refuse(broken)
    return looked_at


def _addresses(root: Element) -> Iterator[tuple[str, bool]]:
    for found in root.walk():
        name = _FETCHED.get(found.tag, "href" if found.tag == "a" else "")
        if name in found.attributes:
            yield found.attributes[name], found.tag in _FETCHED


def _resolves(
    folder: Path, path: Path, address: str, fetched: bool, anchors: Mapping[Path, set[str | None]]
) -> bool:
    parts = urlsplit(address)
    if parts.scheme or parts.netloc:
        return not fetched and parts.scheme.lower() in _OUTSIDE
    if PurePosixPath(parts.path).is_absolute():
        return False
    target = (path.parent / unquote(parts.path)).resolve() if parts.path else path
    if not target.is_relative_to(folder) or not (target.is_file() or (target / "index.html").is_file()):
        return False
    return not parts.fragment or target not in anchors or unquote(parts.fragment) in anchors[target]


def _refuse(broken: list[str]) -> None:
    if broken:
        raise LinkError("broken-links", links="\n".join(f"  {line}" for line in dict.fromkeys(broken)))
