"""Many faults in one network at once: each is a resistance across a port, all are answered by one
factorisation.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from asfitted.network.mna import System
from asfitted.network.settle import Adjustable, Complex, Real, Settled, settle

Port = tuple[str, str]


@dataclass(frozen=True)
class Answers:
    """The unit answers of a system: to each of its sources and to 1 A at each of its ports."""

    system: System
    ports: tuple[Port, ...]
    of_sources: Complex
    of_ports: Complex
    source_rows: NDArray[np.int64]
    adjustable: tuple[Adjustable, ...]

    def seen(self, solution: Complex) -> Complex:
        """Return the voltage of each port (ports × columns) in the columns of a solution."""
        a, b, together = self._ends
        ground = self.system.equations.ground
        padded = np.vstack([solution[:ground], np.zeros((1, solution.shape[1]))])
        return np.asarray((padded[a] - padded[b]) * together[:, None])

    @cached_property
    def _ends(self) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.bool_]]:
        system = self.system
        a, b = system.numbers(p[0] for p in self.ports), system.numbers(p[1] for p in self.ports)
        return a, b, system.island[a] == system.island[b]


def answers(
    system: System,
    groups: Sequence[Sequence[tuple[int, complex]]],
    adjustable: tuple[Adjustable, ...],
    ports: tuple[Port, ...],
) -> Answers:
    """Solve a system for its sources, each a group of (branch, electromotive force) of size one, and its
    ports.

    The first branch of a group is the one whose current is held to the limit.
    """
    rows = np.array([system.equations.row_of[group[0][0]] for group in groups], dtype=np.int64)
    return Answers(system, ports, system.of_sources(groups), system.of_ports(ports), rows, adjustable)


@dataclass(frozen=True)
class Outcome:
    """The solution of each case: the size of each source, the current into each of its ports (a to b
    through it).
    """

    answers: Answers
    cases: NDArray[np.int64]
    settled: Settled
    port_a: Complex

    def observe(self, of_sources: Complex, of_ports: Complex) -> Complex:
        """Return quantities (rows × cases) that are linear in the unknowns, given for each source and each
        port.
        """
        found = of_sources @ self.settled.scale
        for place in range(self.cases.shape[1]):
            found -= of_ports[:, self.cases[:, place]] * self.port_a[place]
        return np.asarray(found)

    @property
    def unknowns(self) -> Complex:
        """Potentials of the nodes and currents of the branches that keep theirs, one column for each case."""
        return self.observe(self.answers.of_sources, self.answers.of_ports)


def close_ports(found: Answers, cases: NDArray[np.int64], resistance_ohm: Real, start: Complex) -> Outcome:
    """Close the ports of each case through a resistance and settle the sources.

    cases: (cases × ports closed at once), numbers of ports; resistance_ohm: the same shape, infinite for a
    port that stays open; start: (sources × cases), the size of each source with nothing limited.
    """
    z = found.seen(found.of_ports)
    u = found.seen(found.of_sources)
    count = cases.shape[1]
    open_ = np.isinf(resistance_ohm)
    matrix = z[cases[:, :, None], cases[:, None, :]].astype(complex)
    matrix[np.broadcast_to((open_[:, :, None] | open_[:, None, :]), matrix.shape)] = 0
    matrix[:, range(count), range(count)] += np.where(open_, 1, resistance_ohm)
    per_source = np.where(open_[:, :, None], 0, u[cases])
    share = np.linalg.solve(matrix, per_source)
    own = np.repeat(found.of_sources[found.source_rows][:, :, None], len(cases), axis=2)
    for place in range(count):
        held = found.of_ports[found.source_rows][:, cases[:, place]]
        own -= held[:, None, :] * share[:, place, :].T[None, :, :]
    settled = settle(found.adjustable, start, own)
    port_a = np.einsum("cps,sc->pc", share, settled.scale)
    return Outcome(found, cases, settled, port_a)
