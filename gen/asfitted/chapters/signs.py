"""Safety signs: the drawing, its name and its words, as cautions and pages place them."""

from typing import Any

from markupsafe import Markup

from asfitted import words
from asfitted.publish.model import Asset, Page
from asfitted.resources import site_src


def sign(name: str) -> dict[str, Any]:
    """Return a sign by its number in ISO 7010: where its drawing lies, its alternative text, what it means."""
    return {
        "name": name,
        "path": Markup(path(name)),  # noqa: S704  (names of ours)
        "meaning": words.text("signs", f"meanings.{name}"),
        "alt": words.text("signs", "alternative", name=name, meaning=words.text("signs", f"meanings.{name}")),
    }


def path(name: str) -> str:
    """Return where the drawing of a sign lies, seen from the pages."""
    return f"signs/{name.lower()}.svg"


def sign_assets(pages: tuple[Page, ...]) -> tuple[Asset, ...]:
    """Return the drawings of the signs that some page shows."""
    names = words.catalogue("signs")["meanings"]
    return tuple(
        Asset(path(name), (site_src() / path(name)).read_bytes(), sign(name)["alt"])
        for name in names
        if any(path(name) in page.markdown for page in pages)
    )
