"""The site: a folder of plain Markdown, pictures and one mkdocs.yml, then the site generator as a subprocess.

Nothing of ours runs inside the generator, so another one that reads the same folder can take its place.
"""

import html
import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import yaml

from asfitted.escape import escape
from asfitted.publish.errors import RenderError
from asfitted.publish.fonts import BOLD, ITALIC, REGULAR, SEMIBOLD, SEMIBOLD_ITALIC, font_file
from asfitted.publish.markdown_tree import EXTENSIONS
from asfitted.publish.model import Page, Publication
from asfitted.publish.pictures import is_wide, self_contained
from asfitted.resources import site_src

LOOK = "look"  # our stylesheet, scripts and fonts inside the site
_FONTS = (REGULAR, ITALIC, SEMIBOLD, SEMIBOLD_ITALIC, BOLD)
_PUBLISHED_LOOK = ("site.css", "site.js", "worksheet.js", "iframe-worker.js", "sign.svg")
# A picture on a line of its own, as the chapters write it; what is escaped in it holds no bracket.
_ADDRESS = re.compile(r"\]\(([^)\s]+)\)")
_OURS = re.compile(r"[a-z0-9_./#-]+", re.IGNORECASE)
_PICTURE = re.compile(r"^!\[([^\]]*)\]\(([^)\s]+)\)[ \t]*$", re.MULTILINE)
# Nothing below serves a site of one language that is opened from a folder.
_UNUSED = (
    "404.html",
    "sitemap.xml",
    "sitemap.xml.gz",
    "assets/javascripts/lunr",
    "assets/images/favicon.png",
)


def write_sources(publication: Publication, folder: Path) -> None:
    """Write pages, pictures, look and mkdocs.yml of `publication` into the empty `folder`."""
    pages = folder / "pages"
    look = pages / LOOK
    look.mkdir(parents=True)
    for page in publication.pages:
        (pages / f"{page.id}.md").write_text(page_source(publication, page), encoding="utf-8", newline="\n")
    for path, data in self_contained(publication.assets).items():
        (pages / path).parent.mkdir(parents=True, exist_ok=True)
        (pages / path).write_bytes(data)
    for name in _PUBLISHED_LOOK:
        shutil.copyfile(site_src() / "theme" / name, look / name)
    for name in _FONTS:
        shutil.copyfile(font_file(name), look / name)
    shutil.copyfile(font_file("LICENSE.txt"), look / "SourceSansPro-LICENSE.txt")
    (folder / "mkdocs.yml").write_text(
        yaml.safe_dump(configuration(publication), allow_unicode=True, sort_keys=False), encoding="utf-8"
    )


def page_source(publication: Publication, page: Page) -> str:
    """Return the Markdown of a page with what every page carries: its identity, and on a draft the notice."""
    words = publication.words
    lines = [f'<p class="identity" data-search-exclude>{" · ".join(map(escape, publication.identity))}</p>']
    if publication.draft:
        lines.append(f'<p class="draft" role="note" data-search-exclude>{escape(words["draft_notice"])}</p>')
    assets = {asset.path: asset for asset in publication.assets}

    def dressed(picture: re.Match[str]) -> str:
        alt, path = picture[1], picture[2]
        asset = assets[path]
        wide = "{ .wide }" if is_wide(asset) else ""
        linked = f'[![{alt}]({path}){wide}]({path}){{ .picture title="{escape(words["open_picture"])}" }}'
        statements = "".join(f"<li>{escape(line)}</li>" for line in asset.long_description)
        if not statements:
            return linked
        summary = escape(words["picture_in_words"])
        return (
            f'{linked}\n\n<details class="only-screen"><summary>{summary}</summary>'
            f"<ul>{statements}</ul></details>\n"
        )

    return (
        _front_matter(page.title)
        + "\n\n".join([*lines, _PICTURE.sub(dressed, _ADDRESS.sub(_readable, page.markdown))]).rstrip()
        + "\n"
    )


def _readable(address: re.Match[str]) -> str:
    """Undo the escaping of a link between pages: the generator looks it up before it unescapes."""
    unescaped = html.unescape(address[1])
    return f"]({unescaped})" if _OURS.fullmatch(unescaped) else address[0]


def configuration(publication: Publication) -> dict[str, Any]:
    """Return the content of mkdocs.yml."""
    words = publication.words
    identity = " · ".join([publication.title, *publication.identity])
    return {
        "site_name": _in_template(publication.title),
        "site_description": _in_template(publication.subtitle),
        "site_url": "",
        "copyright": html.escape(identity),
        "docs_dir": "pages",
        "use_directory_urls": False,
        "nav": [{_in_template(page.title): f"{page.id}.md"} for page in publication.pages],
        "theme": {
            "name": "material",
            "language": publication.language,
            "font": False,
            "favicon": f"{LOOK}/sign.svg",
            "logo": f"{LOOK}/sign.svg",
            "features": ["navigation.footer", "navigation.top", "search.highlight", "toc.follow"],
            "palette": [
                _palette("light", "default", "material/weather-night", words["to_dark"]),
                _palette("dark", "slate", "material/weather-sunny", words["to_light"]),
            ],
        },
        "plugins": ["search", "offline"],
        "markdown_extensions": list(EXTENSIONS),
        "extra_css": [f"{LOOK}/site.css"],
        "extra_javascript": [f"{LOOK}/site.js", f"{LOOK}/worksheet.js"],
        "extra": {"generator": False, "polyfills": [f"{LOOK}/iframe-worker.js"]},
        "validation": dict.fromkeys(
            ("omitted_files", "absolute_links", "unrecognized_links", "anchors"), "warn"
        ),
    }


def _palette(light: str, scheme: str, icon: str, name: str) -> dict[str, Any]:
    return {
        "media": f"(prefers-color-scheme: {light})",
        "scheme": scheme,
        "primary": "custom",
        "accent": "custom",
        "toggle": {"icon": icon, "name": name},
    }


def _front_matter(title: str) -> str:
    # The theme strips tags from a title of the navigation, which undoes its escaping; one that is given here
    # it prints as it is.
    escaped = _in_template(title)
    if escaped == title:
        return ""
    return f"---\n{yaml.safe_dump({'title': escaped}, allow_unicode=True)}---\n\n"


def _in_template(text: str) -> str:
    """Return `text` for the theme, which escapes a title in some places and not in others.

    A text that means the same either way is left alone, so that a lone ampersand is not escaped twice.
    """
    harmless = html.unescape(text) == text and not set(text) & set('<>"')
    return text if harmless else html.escape(text)


class SiteBuild:
    """A running build of the site, so that the book can be set meanwhile."""

    def __init__(self, sources: Path, target: Path, timestamp: int) -> None:
        self._target = target
        command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet", "--site-dir", str(target)]
        environment = os.environ | {
            "NO_MKDOCS_2_WARNING": "1",
            "SOURCE_DATE_EPOCH": str(timestamp),
            "PYTHONIOENCODING": "utf-8",
        }
        self._process = subprocess.Popen(  # noqa: S603 - our own interpreter, no text of a stranger
            command,
            cwd=sources,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            errors="replace",
        )

    def __enter__(self) -> "SiteBuild":
        return self

    def __exit__(self, *_: object) -> None:
        if self._process.poll() is None:
            self._process.kill()
            self._process.communicate()

    def finish(self) -> None:
        """Wait for the site; RenderError with the generator's own words if it refused."""
        output, _ = self._process.communicate()
        if self._process.returncode:
            raise RenderError("site-failed", detail=output.strip())
        _prune(self._target)


def _prune(site: Path) -> None:
    """Drop what no page asks for, and the names of links into the generator's own sources."""
    for name in _UNUSED:
        path = site / name
        if path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)
    for path in site.rglob("*.map"):
        path.unlink()
    _compact_index(site / "search")


def _compact_index(folder: Path) -> None:
    # Opened from a folder the site reads the script, served it reads the JSON; both hold the same entries.
    index = json.loads((folder / "search_index.json").read_text(encoding="utf-8"))
    text = json.dumps(index, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    (folder / "search_index.json").write_text(text, encoding="utf-8")
    (folder / "search_index.js").write_text(f"var __index = {text}", encoding="utf-8")
