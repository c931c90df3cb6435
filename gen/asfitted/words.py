"""The catalogue of words: every sentence that a reader sees, looked up by catalogue and key.

Studies and checks return codes with named fields; only here do they become sentences.
A catalogue is `site_src/words/<name>.yaml`, a flat or one-level nested mapping of texts with `{field}` placeholders.
"""

from functools import cache
from typing import Any

import yaml

from asfitted.resources import site_src


@cache
def catalogue(name: str) -> dict[str, Any]:
    """Return the catalogue `name`; KeyError for an unknown name."""
    path = site_src() / "words" / f"{name}.yaml"
    if not path.is_file():
        raise KeyError(f"no catalogue of words named {name}")
    loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    content = yaml.load(path.read_text(encoding="utf-8"), Loader=loader)  # noqa: S506  (both are safe loaders)
    return dict(content or {})


def raw(name: str, key: str) -> str:
    """Return the sentence `key` of catalogue `name` with its placeholders still in it; KeyError for an unknown key."""
    entry: Any = catalogue(name)
    for part in key.split("."):
        entry = entry[part]
    return str(entry).strip()


def text(name: str, key: str, /, **fields: object) -> str:
    """Return the sentence `key` of catalogue `name` with its fields filled in.

    A dotted key walks into nested mappings. Raises KeyError for an unknown key or a field that was not given:
    both are faults of ours, found by the tests that read every key.
    """
    return raw(name, key).format(**fields).strip()
