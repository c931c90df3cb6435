"""Whole commands, each in a process of its own, as ratios within one run: seconds and peak memory.

`pytest tests/benchmarks -s -p no:xdist` prints the table; nothing is asserted by the clock.
"""

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

pytestmark = pytest.mark.long


@dataclass(frozen=True)
class Run:
    seconds: float
    peak_mib: float


#: a small process of its own starts the command: a child's peak would else count what pytest itself holds
LAUNCH = (
    "import resource, subprocess, sys, time; start = time.perf_counter(); "
    "status = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL).returncode; "
    "print(status, time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
)


def run(*command: str, cwd: Path | None = None, repeat: int = 3) -> Run:
    """Return the fastest of some runs of a command and the largest memory of it and its children."""
    best, peak = float("inf"), 0.0
    for _ in range(repeat):
        launched = subprocess.run(
            [sys.executable, "-S", "-c", LAUNCH, *command],
            cwd=cwd,
            env=os.environ | {"NO_MKDOCS_2_WARNING": "1"},
            check=True,
            capture_output=True,
            text=True,
        )
        status, seconds, kib = launched.stdout.split()
        assert status == "0", command
        best, peak = min(best, float(seconds)), max(peak, float(kib) / 1024)
    return Run(best, peak)


def test_check_and_build_beside_their_yardsticks(paper_lantern, tmp_path):
    from asfitted.description.load import load
    from asfitted.pipeline import publication
    from asfitted.publish import write_sources
    from asfitted.studies.study import study

    write_sources(publication(study(load(paper_lantern / "build.yaml")), "owner", "A4"), tmp_path / "sources")
    python = sys.executable
    program = "import sys; from asfitted.cli import main; main()"
    imports = "import numpy, networkx, pydantic, yaml, pint, jinja2"
    runs = {
        "import of what check needs": run(python, "-c", imports),
        "check": run(python, "-c", program, "check", str(paper_lantern)),
        "bare mkdocs build of the same pages": run(
            python, "-m", "mkdocs", "build", "-q", "-d", str(tmp_path / "bare"), cwd=tmp_path / "sources"
        ),
        "build of one edition, site and book": run(
            python, "-c", program, "build", str(paper_lantern), "--out", str(tmp_path / "out")
        ),
    }
    print()
    for name, result in runs.items():
        print(f"{name:40} {result.seconds:6.2f} s {result.peak_mib:7.0f} MiB")
    names = list(runs)
    for ours, bare in ((names[1], names[0]), (names[3], names[2])):
        print(f"{ours} / {bare}: {runs[ours].seconds / runs[bare].seconds:.2f}")
