"""One build at a time for one output folder.

The lock is held by the operating system, not by the file's existence: it ends with the process, however
that ends, so a lock left by a killed build is never mistaken for a living one.
"""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from asfitted.publish.errors import OutputError

if sys.platform == "win32":
    import msvcrt

    def _try_lock(descriptor: int) -> None:
        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _try_lock(descriptor: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


@contextmanager
def only_build(out: Path) -> Iterator[None]:
    """Hold the lock beside `out`; OutputError `locked` if another build holds it."""
    path = out.with_name(f".{out.name}.asfitted-lock")
    descriptor = _take(path, out)
    try:
        yield
    finally:
        # Removed while held: whoever waits for this very file finds it gone and takes a new one.
        if sys.platform != "win32":
            path.unlink(missing_ok=True)
        os.close(descriptor)


def _take(path: Path, out: Path) -> int:
    while True:
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
        try:
            _try_lock(descriptor)
        except OSError:
            os.close(descriptor)
            raise OutputError("locked", out=out) from None
        if path.exists() and os.path.samestat(path.stat(), os.fstat(descriptor)):
            return descriptor
        os.close(descriptor)
