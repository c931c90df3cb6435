"""The list of what we wrote into a publication folder; what it does not list is never touched."""

import hashlib
import json
from pathlib import Path

NAME = ".asfitted-manifest.json"


def write_manifest(folder: Path) -> None:
    """List every file below `folder` with its hash."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    listed = {path.relative_to(folder).as_posix(): _sha256(path) for path in files}
    content = {"format": 1, "files": listed}
    (folder / NAME).write_text(json.dumps(content, indent=1) + "\n", encoding="utf-8", newline="\n")


def read_manifest(folder: Path) -> dict[str, str] | None:
    """Return path and hash of what we wrote into `folder`, or None if it has no manifest of ours."""
    try:
        content = json.loads((folder / NAME).read_text(encoding="utf-8"))
        files = content["files"]
    except (OSError, ValueError, KeyError, TypeError):
        return None
    if content.get("format") != 1 or not isinstance(files, dict):
        return None
    return {str(path): str(digest) for path, digest in files.items()}


def is_whole(folder: Path) -> bool:
    """Return whether `folder` holds every file of its manifest, unaltered."""
    listed = read_manifest(folder)
    return bool(listed) and all(
        (folder / path).is_file() and _sha256(folder / path) == digest
        for path, digest in (listed or {}).items()
    )


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
