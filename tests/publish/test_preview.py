import json
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

from asfitted.publish import OutputError
from asfitted.publish.preview import preview

PAGE = "<html><body><h1>{}</h1></body></html>"


class Served:
    """A preview of one description whose build writes one page."""

    def __init__(self, folder: Path) -> None:
        self.description = folder / "build.yaml"
        self.description.write_text("first")
        self.builds = 0
        self._stop = threading.Event()
        told: list[str] = []
        self._thread = threading.Thread(
            target=preview,
            args=(self.build, [self.description], "localhost:0", told.append, self._stop),
        )
        self._thread.start()
        self.wait(lambda: bool(told))
        self.address = next(word for word in told[0].split() if word.startswith("http"))

    def build(self, out: Path) -> None:
        self.builds += 1
        text = self.description.read_text()
        if text == "wrong":
            raise ValueError("line 3: <unknown> token")
        (out / "site").mkdir(parents=True, exist_ok=True)
        (out / "site" / "index.html").write_text(PAGE.format(text))

    def get(self, path: str = "", **headers: str) -> str:
        request = urllib.request.Request(self.address + path, headers=headers)  # noqa: S310 - our own server
        with urllib.request.urlopen(request, timeout=5) as answer:  # noqa: S310
            return str(answer.read().decode())

    def state(self) -> dict[str, object]:
        return dict(json.loads(self.get(".asfitted/state")))

    def wait(self, done: object) -> None:
        assert callable(done)
        end = time.monotonic() + 5
        while not done():
            assert time.monotonic() < end
            time.sleep(0.02)

    def stop(self) -> None:
        self._stop.set()
        self._thread.join(timeout=5)
        assert not self._thread.is_alive()


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    running = Served(tmp_path)
    yield running
    running.stop()


def test_a_change_is_built_and_shown(served: Served) -> None:
    served.wait(lambda: served.state()["build"] == 1)
    page = served.get()
    assert "<h1>first</h1>" in page
    assert 'data-build="1"' in page
    assert page.endswith("</body></html>")
    served.description.write_text("second")
    served.wait(lambda: served.state()["build"] == 2)
    assert "<h1>second</h1>" in served.get("index.html")


def test_a_failing_build_shows_its_error_over_the_last_good_page(served: Served) -> None:
    served.wait(lambda: served.state()["build"] == 1)
    served.description.write_text("wrong")
    served.wait(lambda: served.state()["error"])
    assert served.state()["error"] == "line 3: <unknown> token"
    assert "<h1>first</h1>" in served.get()
    served.description.write_text("third")
    served.wait(lambda: served.state()["build"] == 2)
    assert served.state()["error"] == ""


def test_many_writes_make_one_build(served: Served) -> None:
    served.wait(lambda: served.state()["build"] == 1)
    for number in range(20):
        served.description.write_text(f"text {number}")
    served.wait(lambda: "text 19" in served.get())
    assert served.builds <= 3


def test_only_this_machine_by_its_own_name_is_answered(served: Served) -> None:
    served.wait(lambda: served.state()["build"] == 1)
    with pytest.raises(urllib.error.HTTPError, match="403"):
        served.get(Host="elsewhere.example:80")
    with pytest.raises(urllib.error.HTTPError, match="404"):
        served.get("../../../../etc/passwd")


@pytest.mark.parametrize(
    "address", ["0.0.0.0:8000", "example.org:80", "localhost", "localhost:x", "localhost:99999"]
)
def test_only_an_address_of_this_machine_is_served(address: str) -> None:
    with pytest.raises(OutputError) as caught:
        preview(lambda _: None, [], address)
    assert caught.value.code == "address-not-local"


def test_a_taken_port_is_told(served: Served) -> None:
    with pytest.raises(OutputError) as caught:
        preview(lambda _: None, [], served.address.removeprefix("http://").rstrip("/"))
    assert caught.value.code == "address-taken"
