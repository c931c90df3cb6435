"""The fingerprint of a description: it tells two of them apart by what they mean, not by how they are typed."""

import hashlib
import json

from asfitted.description.load import Loaded
from asfitted.description.reader import plain

#: never part of the fingerprint, which every edition prints: a hash of a phone number can be guessed back
PRIVATE = ("people", "identity", "private")


def fingerprint(loaded: Loaded) -> str:
    """Return the hash of what the description means: its long form without comments and what is private."""
    content = _public(plain(loaded.tree))
    return hashlib.sha256(json.dumps(content, ensure_ascii=False, sort_keys=True).encode()).hexdigest()


def _public(content: object) -> object:
    if isinstance(content, dict):
        return {key: _public(value) for key, value in content.items() if key not in PRIVATE}
    return [_public(item) for item in content] if isinstance(content, list) else content
