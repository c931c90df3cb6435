"""A headless Chromium on a pair of pipes: what a page asks for, and what it complains of."""

import base64
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import pytest

_NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")

# Moves the two pipes to the descriptors where the browser looks for them, then becomes the browser.
_LAUNCHER = """
import fcntl, os, sys
inwards, outwards = (fcntl.fcntl(int(number), fcntl.F_DUPFD, 10) for number in sys.argv[1:3])
os.dup2(inwards, 3)
os.dup2(outwards, 4)
os.execv(sys.argv[3], sys.argv[3:])
"""


def find_browser() -> str:
    """Return the browser's path; without one skip, or fail where continuous integration promises it."""
    found = next((path for name in _NAMES if (path := shutil.which(name))), None)
    if found is None and os.environ.get("CI"):
        pytest.fail("no Chromium found, and CI is set")
    if found is None:
        pytest.skip("no Chromium on this machine: the site is not opened in a browser")
    return found


class Browser:
    """Speaks the DevTools protocol over file descriptors 3 and 4 of the browser, so no socket is needed."""

    def __init__(self) -> None:
        browser = find_browser()
        self._profile = tempfile.TemporaryDirectory(prefix="browser-", ignore_cleanup_errors=True)
        to_browser, self._write = os.pipe()
        self._read, from_browser = os.pipe()
        arguments = [
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-first-run",
            "--disable-background-networking",
            f"--user-data-dir={self._profile.name}",
            "--remote-debugging-pipe",
            "about:blank",
        ]
        self._process = subprocess.Popen(
            [sys.executable, "-c", _LAUNCHER, str(to_browser), str(from_browser), browser, *arguments],
            pass_fds=(to_browser, from_browser),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(to_browser)
        os.close(from_browser)
        self._buffer = b""
        self._number = 0
        self.events: list[dict[str, Any]] = []
        target = self.call("Target.createTarget", url="about:blank", session=None)["targetId"]
        self._session = self.call("Target.attachToTarget", targetId=target, flatten=True, session=None)[
            "sessionId"
        ]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.call(f"{domain}.enable")

    def close(self) -> None:
        os.close(self._write)
        os.close(self._read)
        self._process.kill()
        self._process.wait()
        self._profile.cleanup()

    def call(self, method: str, session: str | None = "page", **parameters: Any) -> dict[str, Any]:
        """Send one command and return its result; events that arrive meanwhile are kept."""
        self._number += 1
        message: dict[str, Any] = {"id": self._number, "method": method, "params": parameters}
        if session:
            message["sessionId"] = self._session
        os.write(self._write, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._receive()
            if answer.get("id") == self._number:
                assert "error" not in answer, answer
                return answer["result"]

    def _receive(self) -> dict[str, Any]:
        while b"\0" not in self._buffer:
            chunk = os.read(self._read, 1 << 16)
            assert chunk, "the browser has gone"
            self._buffer += chunk
        text, _, self._buffer = self._buffer.partition(b"\0")
        message = json.loads(text)
        if "method" in message:
            self.events.append(message)
        return message

    def evaluate(self, expression: str) -> Any:
        """Return the value of a JavaScript expression; a promise is awaited."""
        result = self.call("Runtime.evaluate", expression=expression, awaitPromise=True, returnByValue=True)
        assert "exceptionDetails" not in result, result
        return result["result"].get("value")

    def wait_for(self, expression: str, seconds: float = 10) -> Any:
        """Return the value of `expression` once it is true."""
        end = time.monotonic() + seconds
        while not (value := self.evaluate(expression)):
            assert time.monotonic() < end, f"never true: {expression}"
            time.sleep(0.05)
        return value

    def open(self, address: str, width: int = 1280, height: int = 900, dark: bool = False) -> None:
        self.events.clear()
        self.call(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=width < 600,
        )
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.call("Emulation.setEmulatedMedia", features=[scheme])
        self.call("Page.navigate", url=address)
        self.wait_for(
            f"location.href.startsWith({json.dumps(address)}) && document.readyState === 'complete'"
        )

    def requests(self) -> list[str]:
        """Return every address asked for since the page was opened."""
        sent = (event for event in self.events if event["method"] == "Network.requestWillBeSent")
        return [event["params"]["request"]["url"] for event in sent]

    def complaints(self) -> list[str]:
        """Return errors and warnings of the console, and uncaught exceptions."""
        found = []
        for event in self.events:
            parameters = event["params"]
            if event["method"] == "Runtime.exceptionThrown":
                found.append(json.dumps(parameters["exceptionDetails"]))
            elif event["method"] == "Log.entryAdded" and parameters["entry"]["level"] in {"error", "warning"}:
                found.append(f"{parameters['entry']['text']} {parameters['entry'].get('url', '')}")
            elif event["method"] == "Runtime.consoleAPICalled" and parameters["type"] in {"error", "warning"}:
                found.append(json.dumps(parameters["args"]))
        return found

    def screenshot(self, path: Path) -> None:
        path.write_bytes(
            base64.b64decode(self.call("Page.captureScreenshot", captureBeyondViewport=True)["data"])
        )
