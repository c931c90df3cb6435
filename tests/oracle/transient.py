"""Transient netlists: a source that controls its own amplitude by its r.m.s. current, strings of real
diodes.

The solver folds a limiting source back in closed form; here an integrator turns the amplitude down while
the squared current, averaged, is above the limit. Nothing of the closed form is used.
"""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from asfitted.network.circuit import EARTH, Branch
from tests.oracle.ngspice import OPEN_OHM, Deck, run_deck

SETTLE_S = 0.6
STEP_S = 1e-4


@dataclass(frozen=True)
class Drive:
    """How the electromotive forces move: r.m.s. volts of stiff sources, (volts, limit in A) of limiting
    ones.
    """

    stiff: Mapping[str, float]
    limited: Mapping[str, tuple[float, float]]
    diodes: Sequence[str]


class Transient(Deck):
    """A deck for transient runs of one set of switches."""

    def __init__(self, branches: Sequence[Branch], hz: float, drive: Drive) -> None:
        super().__init__(branches, hz, [])
        self.drive = drive

    def _branch(self, b: Branch) -> list[str]:
        k = self.emf[b.id][2:]
        a, at, end = self.name[b.a], f"a{k}", self.name[b.b]
        peak, omega = math.sqrt(2), 2 * math.pi * self.hz
        if b.id in self.drive.diodes:
            ways = (("up", f"r{k}x", end), ("dn", end, f"r{k}x"))
            lines = [f"r{k} {a} r{k}x {b.r_ohm!r}"]
            for way, start, stop in ways:
                lines += [f"d{k}{way}1 {start} m{k}{way} power", f"d{k}{way}2 m{k}{way} {stop} power"]
            return lines
        if b.id in self.drive.limited:
            volts, limit = self.drive.limited[b.id]
            rest = self._impedance(k, f"i{k}", end, b)
            return [
                f"b{k} {at} {a} v = v(lam{k}) * {peak * volts!r} * sin({omega!r} * time)",
                f"vi{k} {at} i{k} dc 0",
                f"bs{k} 0 sq{k} i = i(vi{k}) * i(vi{k})",
                f"rs{k} sq{k} 0 1",
                f"cs{k} sq{k} 0 0.02 ic=0",
                f"bl{k} 0 lam{k} i = (v(lam{k}) >= 1 && v(sq{k}) < {limit**2!r}) ? 0 : "
                f"15 * v(lam{k}) * (1 - v(sq{k}) / {limit**2!r})",
                f"cl{k} lam{k} 0 1 ic=0.2",
                *rest,
            ]
        if b.id in self.drive.stiff:
            volts = peak * self.drive.stiff[b.id]
            return [f"v{k} {at} {a} sin(0 {volts!r} {self.hz})", *self._impedance(k, at, end, b)]
        if b.primary:
            zero, one = (self.name[n] for n in b.primary)
            return [
                f"vp{k} {a} p{k} dc 0",
                f"et{k} {at} p{k} {one} {zero} 1",
                f"ft{k} {one} {zero} vp{k} 1",
                *self._impedance(k, at, end, b),
            ]
        return self._impedance(k, a, end, b)

    def _impedance(self, k: str, start: str, end: str, b: Branch) -> list[str]:
        if b.c_f:
            return [f"c{k} {start} {end} {b.c_f!r}"]
        if not b.x_ohm:
            return [f"r{k} {start} {end} {b.r_ohm!r}"]
        henry = b.x_ohm / (2 * math.pi * self.hz)
        return [f"r{k} {start} b{k} {b.r_ohm!r}", f"l{k} b{k} {end} {henry!r}"]

    def rms_a(self, faults: Sequence[tuple[str, str, float]], folder: Path, name: str) -> list[float]:
        """Return the r.m.s. current of each fault in the last full cycle."""
        lines = ["* written by the tests", ".model power d(is=1e-9 n=1.6 rs=0.001 cjo=1e-9)"]
        lines += [line for b in self.branches for line in self._branch(b)]
        for number, (a, b, _) in enumerate(faults):
            lines += [
                f"vf{number} {self.name[a]} xf{number} dc 0",
                f"rf{number} xf{number} {self.name[b]} {OPEN_OHM}",
            ]
        earth = self.island.get(EARTH)
        for k, start in enumerate(dict.fromkeys(self.island.values())):
            if start != earth:
                lines.append(f"rtie{k} {self.name[start]} 0 1")
        lines += [
            ".options reltol=1e-3 abstol=1e-6 vntol=1e-4 method=gear itl4=100",
            ".control",
            "set numdgt=15",
        ]
        cycle = 1 / self.hz
        for number, (_, _, ohm) in enumerate(faults):
            lines += [
                f"alter rf{number} {ohm!r}",
                f"tran {STEP_S} {SETTLE_S} 0 {STEP_S} uic",
                f"meas tran rms{number} rms i(vf{number}) from={SETTLE_S - cycle!r} to={SETTLE_S!r}",
                f"alter rf{number} {OPEN_OHM}",
                "destroy all",
            ]
        out = run_deck("\n".join([*lines, "quit 0", ".endc", ".end", ""]), folder, name)
        found = re.findall(r"^rms(\d+)\s+=\s+([-+0-9.eE]+)", out, re.M)
        assert [int(n) for n, _ in found] == list(range(len(faults))), out[-2000:]
        return [float(value) for _, value in found]
