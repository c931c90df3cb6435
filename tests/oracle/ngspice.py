"""ngspice in batch mode as an independent judge: its own netlist writer, its own search for islands.

Nothing of the solver is used here but the list of branches. Traps met with ngspice 39: a resistor of 0 ohm
becomes 1 milliohm without a word, a missing vector is only a line on the screen, a floating part is 0 V, and
a deck without `quit` ends with status 1 after printing everything.
"""

import cmath
import math
import os
import re
import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from asfitted.network.circuit import EARTH, Branch

OPEN_OHM = 1e12


@dataclass(frozen=True)
class SpiceCase:
    """One case: the ports closed with their resistances, and the electromotive force of each branch."""

    ports: tuple[tuple[str, str, float], ...]
    emf: dict[str, complex]


def ngspice() -> str:
    """Return the program; skip without it, but fail where the tests must not lose their judge."""
    found = shutil.which("ngspice")
    if found is None and os.environ.get("CI"):
        pytest.fail("ngspice is missing: the fault study would go unjudged")
    if found is None:
        pytest.skip("ngspice is not installed (Debian package ngspice)")
    return found


class Deck:
    """A netlist of a circuit for alternating or direct current, to which cases are added."""

    def __init__(self, branches: Sequence[Branch], hz: float, wanted: Sequence[str]) -> None:
        self.hz = hz
        self.branches = [b for b in branches if hz or not (b.c_f or b.primary)]
        nodes = dict.fromkeys(n for b in self.branches for n in (b.a, b.b, *(b.primary or ())))
        self.name = {node: f"n{k}" for k, node in enumerate(n for n in nodes if n != EARTH)} | {EARTH: "0"}
        self.meter = {id_: f"vm{k}" for k, id_ in enumerate(wanted)}
        self.emf = {b.id: f"ve{k}" for k, b in enumerate(self.branches)}
        self.island = self._islands()
        self.ports: dict[tuple[str, str], str] = {}

    def _islands(self) -> dict[str, str]:
        """Return for each node the name of its island: walked from node to node, current cannot leave it."""
        near: dict[str, set[str]] = {n: set() for n in self.name}
        for b in self.branches:
            for x, y in ((b.a, b.b), b.primary or (b.a, b.b)):
                near[x].add(y)
                near[y].add(x)
        found: dict[str, str] = {}
        for start in self.name:
            waiting = [start] if start not in found else []
            while waiting:
                node = waiting.pop()
                if node not in found:
                    found[node] = start
                    waiting.extend(near[node])
        return found

    def joins(self, a: str, b: str) -> bool:
        """Tell whether a port lies within one island."""
        return a in self.island and b in self.island and self.island[a] == self.island[b]

    def text(self, cases: Sequence[SpiceCase]) -> str:
        lines = ["* written by the tests"]
        lines += [line for b in self.branches for line in self._branch(b)]
        for case in cases:
            for a, b, _ in case.ports:
                self.ports.setdefault((a, b), f"f{len(self.ports)}")
        for (a, b), name in self.ports.items():
            lines += [
                f"v{name} {self.name[a]} x{name} dc 0 ac 0",
                f"r{name} x{name} {self.name[b]} {OPEN_OHM}",
            ]
        earth = self.island.get(EARTH)
        for k, start in enumerate(dict.fromkeys(self.island.values())):
            if start != earth:
                lines.append(f"rtie{k} {self.name[start]} 0 1")
        lines += [".control", "set numdgt=15", "set width=4096"]
        for case in cases:
            lines += self._case(case)
        return "\n".join([*lines, "quit 0", ".endc", ".end", ""])

    def _branch(self, b: Branch) -> list[str]:
        k = self.emf[b.id][2:]
        a, at = self.name[b.a], f"a{k}"
        lines = []
        if b.id in self.meter:
            lines.append(f"{self.meter[b.id]} {a} m{k} dc 0 ac 0")
            a = f"m{k}"
        if b.primary:
            zero, one = (self.name[n] for n in b.primary)
            lines += [
                f"vp{k} {a} p{k} dc 0 ac 0",
                f"et{k} {at} p{k} {one} {zero} 1",
                f"ft{k} {one} {zero} vp{k} 1",
            ]
        elif b.source or b.emf_v or b.emf_dc_v:
            lines.append(f"{self.emf[b.id]} {at} {a} dc 0 ac 0")
        else:
            at = a
        end = self.name[b.b]
        if b.c_f:
            lines.append(f"c{k} {at} {end} {b.c_f!r}")
        elif self.hz and b.x_ohm:
            middle = end if not b.r_ohm else f"b{k}"
            if b.r_ohm:
                lines.append(f"r{k} {at} {middle} {b.r_ohm!r}")
            lines.append(f"l{k} {middle if b.r_ohm else at} {end} {b.x_ohm / (2 * math.pi * self.hz)!r}")
        else:
            lines.append(f"r{k} {at} {end} {b.r_ohm!r}")
        return lines

    def _case(self, case: SpiceCase) -> list[str]:
        lines = [f"alter r{self.ports[a, b]} {ohm!r}" for a, b, ohm in case.ports]
        for b in self.branches:
            if b.source or b.emf_v or b.emf_dc_v:
                size = case.emf.get(b.id, 0)
                name = self.emf[b.id]
                if self.hz:
                    lines.append(f"alter @{name}[acmag] = {abs(size)!r}")
                    lines.append(f"alter @{name}[acphase] = {math.degrees(cmath.phase(size))!r}")
                else:
                    lines.append(f"alter {name} dc = {size.real if isinstance(size, complex) else size!r}")
        lines.append(f"ac lin 1 {self.hz} {self.hz}" if self.hz else "op")
        vectors = [f"v{self.ports[a, b]}" for a, b, _ in case.ports] + list(self.meter.values())
        form = "print real(i({0})) imag(i({0}))" if self.hz else "print i({0})"
        lines += [form.format(vector) for vector in vectors]
        lines += [f"alter r{self.ports[a, b]} {OPEN_OHM}" for a, b, _ in case.ports]
        return lines


def run_deck(text: str, folder: Path, name: str) -> str:
    """Run a deck in batch mode and return what it printed."""
    path = folder / f"{name}.cir"
    path.write_text(text, encoding="ascii")
    done = subprocess.run([ngspice(), "-n", "-b", str(path)], capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    return done.stdout


def currents(
    deck: Deck, cases: Sequence[SpiceCase], folder: Path, name: str
) -> list[tuple[list[complex], dict[str, complex]]]:
    """Return for each case the currents of its ports and of the metered branches."""
    out = run_deck(deck.text(cases), folder, name)
    number = r"([-+0-9.eE]+)"
    if deck.hz:
        real = re.findall(rf"^real\(i\((\w+)\)\) = {number}", out, re.M)
        imag = re.findall(rf"^imag\(i\((\w+)\)\) = {number}", out, re.M)
        assert [r[0] for r in real] == [i[0] for i in imag]
        values = [(r[0], complex(float(r[1]), float(i[1]))) for r, i in zip(real, imag, strict=True)]
    else:
        values = [(n, complex(float(x))) for n, x in re.findall(rf"^i\((\w+)\) = {number}", out, re.M)]
    wanted = [len(case.ports) + len(deck.meter) for case in cases]
    assert len(values) == sum(wanted), "ngspice did not print every vector"
    by_name = {vector: id_ for id_, vector in deck.meter.items()}
    found, at = [], 0
    for case, count in zip(cases, wanted, strict=True):
        own = values[at : at + count]
        at += count
        ports = [value for _, value in own[: len(case.ports)]]
        found.append((ports, {by_name[n]: value for n, value in own[len(case.ports) :]}))
    return found
