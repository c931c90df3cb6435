from collections.abc import Iterator
from pathlib import Path

import pytest

from asfitted.publish import Published, publish

from .browser import Browser
from .sample import publication


@pytest.fixture(scope="session")
def published(tmp_path_factory: pytest.TempPathFactory) -> Published:
    """The sample as it lies on disk, made once."""
    return publish(publication(), tmp_path_factory.mktemp("sample") / "published", lambda _: None)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    running = Browser()
    yield running
    running.close()


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path / "published"
