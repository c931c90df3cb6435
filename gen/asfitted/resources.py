"""Where the prose, theme and print templates lie: inside the wheel, or beside the package in a checkout."""

from functools import cache
from pathlib import Path


@cache
def site_src() -> Path:
    """Return the folder that holds `pages`, `theme`, `print` and `words`.

    Raises FileNotFoundError if neither an installed nor a checked-out copy is there (a broken installation).
    """
    package = Path(__file__).resolve().parent
    for candidate in (package / "site_src", package.parent.parent / "site_src"):
        if (candidate / "pages").is_dir():
            return candidate
    raise FileNotFoundError(f"site_src not found beside {package}")


@cache
def font_folder() -> Path:
    """Return the folder of the one type family used in figures, site and book (Source Sans, open font licence)."""
    import font_source_sans_pro

    return Path(font_source_sans_pro.__file__).resolve().parent / "files"
