"""The site while it is being written: served on this machine only, built anew after every change.

The last good build stays on show; if a build fails, its error stands in the page.
"""

import json
import tempfile
import threading
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import partial
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

from watchdog.events import FileSystemEvent, FileSystemEventHandler
from watchdog.observers import Observer

from asfitted.publish.errors import OutputError
from asfitted.resources import site_src
from asfitted.words import text

DEBOUNCE_S = 0.1  # an editor writes a file in several steps
_STATE = "/.asfitted/state"
_CHANGES = frozenset({"created", "modified", "deleted", "moved"})
_LOOPBACK = frozenset({"localhost", "127.0.0.1"})
_LAST_PORT = 65535


@dataclass
class _State:
    """What the browser asks for: the number of the last good build, and the error of a later one."""

    build: int = 0
    error: str = ""
    lock: threading.Lock = field(default_factory=threading.Lock)

    def succeeded(self) -> None:
        with self.lock:
            self.build, self.error = self.build + 1, ""

    def failed(self, error: str) -> None:
        with self.lock:
            self.error = error

    def json(self) -> bytes:
        with self.lock:
            content = {"build": self.build, "error": self.error, "failed": text("layout", "preview.failed")}
        return json.dumps(content).encode()


class _Handler(SimpleHTTPRequestHandler):
    def __init__(self, *arguments: Any, state: _State, **named: Any) -> None:
        self._state = state
        super().__init__(*arguments, **named)

    def do_GET(self) -> None:
        host = self.headers.get("Host", "").rpartition(":")[0] or self.headers.get("Host", "")
        if host not in _LOOPBACK:
            # A page elsewhere that has its own name point to this machine must not read the owner's edition.
            self.send_error(HTTPStatus.FORBIDDEN)
        elif self.path.partition("?")[0] == _STATE:
            self._send(self._state.json(), "application/json")
        elif self._state.build == 0:
            self._send(
                self._with_script(f"<title>…</title><p>{text('layout', 'preview.first')}</p>".encode())
            )
        elif (page := self._page()) is not None:
            self._send(self._with_script(page.read_bytes()))
        else:
            super().do_GET()

    def _page(self) -> Path | None:
        path = Path(self.translate_path(self.path))
        path = path / "index.html" if path.is_dir() else path
        return path if path.suffix == ".html" and path.is_file() else None

    def _with_script(self, page: bytes) -> bytes:
        script = (site_src() / "theme" / "preview.js").read_bytes()
        address = _STATE.encode()
        tag = b'<script data-build="%d" data-state="%s">%s</script>' % (self._state.build, address, script)
        head, end, tail = page.rpartition(b"</body>")
        return head + tag + end + tail if end else page + tag

    def _send(self, content: bytes, kind: str = "text/html") -> None:
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", f"{kind}; charset=utf-8")
        self.send_header("Content-Length", str(len(content)))
        self.send_header("Cache-Control", "no-store")
        self.end_headers()
        self.wfile.write(content)

    def log_message(self, format: str, *arguments: Any) -> None:
        """Say nothing: the terminal belongs to the build."""


class _Changes(FileSystemEventHandler):
    """Sets `changed` when one of the watched files, or anything in a watched folder, is written."""

    def __init__(self, watch: Iterable[Path]) -> None:
        self.changed = threading.Event()
        self._watch = tuple(path.resolve() for path in watch)

    def on_any_event(self, event: FileSystemEvent) -> None:
        paths = {Path(str(name)).resolve() for name in (event.src_path, event.dest_path) if name}
        if event.event_type in _CHANGES and any(
            path == watched or watched in path.parents for path in paths for watched in self._watch
        ):
            self.changed.set()

    def observe(self) -> Any:
        observer = Observer()
        for folder in {path if path.is_dir() else path.parent for path in self._watch}:
            observer.schedule(self, str(folder), recursive=folder in self._watch)
        observer.start()
        return observer


def preview(
    build: Callable[[Path], object],
    watch: list[Path],
    address: str = "localhost:8000",
    announce: Callable[[str], None] = print,
    stop: threading.Event | None = None,
) -> None:
    """Serve what `build` makes, and build again after every change in `watch`.

    Returns when interrupted or when `stop` is set. `build` is given a folder of ours and publishes into it
    (`FOLDER/site`); an exception of it is shown in the page. `watch` holds files and folders. `address` is
    a name of this machine and a port, 0 for a free one; `announce` is told where to look. Raises OutputError
    for an address of another machine or one that is taken.
    """
    host, port = _local(address)
    stop = stop or threading.Event()
    state = _State()
    with tempfile.TemporaryDirectory(prefix="asfitted-preview-") as nest:
        out = Path(nest) / "published"
        handler = partial(_Handler, state=state, directory=str(out / "site"))
        with _server(host, port, handler) as server:
            server.daemon_threads = True
            threading.Thread(target=server.serve_forever, daemon=True).start()
            announce(text("layout", "preview.serving", address=f"http://{host}:{server.server_port}/"))
            changes = _Changes(watch)
            observer = changes.observe()
            try:
                _build_on_change(build, out, state, changes.changed, stop)
            except KeyboardInterrupt:
                pass
            finally:
                observer.stop()
                observer.join()
                server.shutdown()


def _local(address: str) -> tuple[str, int]:
    host, _, port = address.rpartition(":")
    if host not in _LOOPBACK or not port.isdecimal() or int(port) > _LAST_PORT:
        raise OutputError("address-not-local", address=address)
    return host, int(port)


def _server(host: str, port: int, handler: Callable[..., _Handler]) -> ThreadingHTTPServer:
    try:
        return ThreadingHTTPServer((host, port), handler)
    except OSError as error:
        raise OutputError("address-taken", address=f"{host}:{port}", reason=error.strerror) from error


def _build_on_change(
    build: Callable[[Path], object],
    out: Path,
    state: _State,
    changed: threading.Event,
    stop: threading.Event,
) -> None:
    changed.set()
    while not stop.is_set():
        if not changed.wait(timeout=0.2):
            continue
        while changed.is_set():
            changed.clear()
            time.sleep(DEBOUNCE_S)
        try:
            build(out)
        except Exception as error:  # the preview outlives whatever is wrong with the description
            state.failed(str(error) or type(error).__name__)
        else:
            state.succeeded()
