"""A finished publication is put in place whole: built in a hidden sibling, then swapped by two renames.

    .NAME.asfitted-new-XXXX   a build under way; whatever a killed one left is cleared by the next
    .NAME.asfitted-old        the former publication between the two renames

A kill at any moment leaves a whole publication in place or in `…-old`, and the next build puts it back.
Files of the user inside the folder are never deleted: they move across after the swap.
"""

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from asfitted.publish.errors import OutputError
from asfitted.publish.lock import only_build
from asfitted.publish.manifest import NAME, read_manifest, write_manifest


@contextmanager
def replacing(out: Path) -> Iterator[tuple[Path, Path]]:
    """Yield an empty folder for the new publication and one for scraps; on leaving, put the new one in place.

    If the block raises, `out` stays as it was. Raises OutputError if `out` is not ours, if another build is
    at work, if a file of the user stands where a new one must go, or if the disk refuses.
    """
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        with only_build(out):
            _recover(out)
            _refuse_foreign(out)
            nest = Path(tempfile.mkdtemp(prefix=_prefix(out), dir=out.parent))
            try:
                new, scraps = nest / "new", nest / "scraps"
                new.mkdir()
                scraps.mkdir()
                yield new, scraps
                write_manifest(new)
                _swap(new, out)
            finally:
                shutil.rmtree(nest, ignore_errors=True)
    except OSError as error:
        raise OutputError(
            "not-writable", path=error.filename or out, reason=error.strerror or str(error)
        ) from error


def _prefix(out: Path) -> str:
    return f".{out.name}.asfitted-new-"


def _old(out: Path) -> Path:
    return out.with_name(f".{out.name}.asfitted-old")


def _recover(out: Path) -> None:
    """Finish or undo what a killed build left behind."""
    for nest in out.parent.glob(f"{_prefix(out)}*"):
        shutil.rmtree(nest, ignore_errors=True)
    if _old(out).is_dir():
        if out.exists():
            _retire(_old(out), out)
        else:
            _old(out).rename(out)


def _refuse_foreign(out: Path) -> None:
    if out.is_symlink() or (out.exists() and not out.is_dir()):
        raise OutputError("not-a-folder", out=out)
    if out.exists() and any(out.iterdir()) and read_manifest(out) is None:
        raise OutputError("foreign-folder", out=out)


def _swap(new: Path, out: Path) -> None:
    if not out.exists():
        new.rename(out)
        return
    for mine in _unlisted(out):
        _refuse_collision(mine, new / mine.relative_to(out))
    out.rename(_old(out))
    new.rename(out)
    _retire(_old(out), out)


def _refuse_collision(mine: Path, place: Path) -> None:
    if not place.exists():
        return
    if not place.is_dir() or not mine.is_dir() or mine.is_symlink():
        raise OutputError("file-in-the-way", path=mine)
    for child in mine.iterdir():
        _refuse_collision(child, place / child.name)


def _retire(old: Path, out: Path) -> None:
    """Move what is the user's from `old` to `out`; delete what is ours and the folders that leaves empty."""
    listed = read_manifest(old) or {}
    for mine in list(_unlisted(old)):
        _move_across(mine, out / mine.relative_to(old))
    for path in [*listed, NAME]:
        (old / path).unlink(missing_ok=True)
    folders = sorted((path for path in old.rglob("*") if path.is_dir()), reverse=True)
    for folder in [*folders, old]:
        if not any(folder.iterdir()):
            folder.rmdir()


def _move_across(mine: Path, place: Path) -> None:
    if not place.exists():
        place.parent.mkdir(parents=True, exist_ok=True)
        mine.rename(place)
    elif mine.is_dir() and place.is_dir():
        for child in list(mine.iterdir()):
            _move_across(child, place / child.name)


def _unlisted(folder: Path) -> Iterator[Path]:
    """Yield what the user put into `folder`: files, and whole folders that hold nothing of ours."""
    listed = {folder / path for path in (read_manifest(folder) or {})} | {folder / NAME}
    ours = {parent for path in listed for parent in path.parents}

    def below(parent: Path) -> Iterator[Path]:
        for child in sorted(parent.iterdir()):
            if child in ours and child.is_dir() and not child.is_symlink():
                yield from below(child)
            elif child not in listed:
                yield child

    return below(folder)
