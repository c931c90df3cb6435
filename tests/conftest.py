"""What all tests share: the example build, and the flag for long profiles."""

import os
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import pytest

EXAMPLES = Path(__file__).resolve().parent.parent / "example_builds"


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="run the long profiles as well")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("--long"):
        return
    long = [item for item in items if "long" in item.keywords]
    # Left out, not skipped: a skip is for what a machine lacks.
    config.hook.pytest_deselected(items=long)
    items[:] = [item for item in items if "long" not in item.keywords]


@pytest.fixture(scope="session")
def paper_lantern() -> Path:
    return EXAMPLES / "paper_lantern"
