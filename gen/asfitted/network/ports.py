"""Many cases in one network at once, all answered by one factorisation.

A case closes ports (a fault, a body) through resistances and opens branches (a device, a broken conductor).
Both are unknowns added to a network that is otherwise solved: the current through the port, and the voltage
in the branch that holds its current at zero. The second works only because what can open keeps its current as
an unknown of the network. Read from a difference of potentials the current would drown where the branch is
the only bridge between two parts, and a low-rank update of nodal equations fails there.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from asfitted.network.mna import Equations, System
from asfitted.network.potentials import Potentials
from asfitted.network.settle import Adjustable, Complex, Real, Settled, settle

Port = tuple[str, str]
#: a port, or the number of a branch to be opened
Alteration = Port | int
Numbers = NDArray[np.int64]


@dataclass
class Answers:
    """The unit answers of a system: to each of its sources, to 1 A taken out of a port at its first node and
    put in at its second, to 1 V in a branch to be opened. Those of alterations are solved when first asked for.

    The first branch of a source is the one whose current is held to the limit.
    """

    system: System
    groups: Sequence[Sequence[tuple[int, complex]]]
    adjustable: tuple[Adjustable, ...]
    _place: dict[Alteration, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        size = self.system.equations.size
        self.of_sources = self.system.of_sources(self.groups)
        self.source_rows = np.array(
            [self.system.equations.row_of[group[0][0]] for group in self.groups], dtype=np.int64
        )
        # one row for each alteration, the first of one that alters nothing; the last column is true earth
        self._answers: Complex = np.zeros((1, size + 1), dtype=complex)
        self._sources = np.vstack([self.of_sources, np.zeros((1, len(self.groups)))]).T
        self._first: Numbers = np.array([size])
        self._second: Numbers = np.array([size])

    def places(self, wanted: Iterable[Alteration]) -> list[int]:
        """Return the numbers of alterations, after solving for those that are new. Number 0 alters nothing."""
        found = list(wanted)
        new = [what for what in dict.fromkeys(found) if what not in self._place]
        if new:
            self._add([w for w in new if isinstance(w, int)], [w for w in new if not isinstance(w, int)])
        return [self._place[what] for what in found]

    def _add(self, branches: list[int], ports: list[Port]) -> None:
        system, size = self.system, self.system.equations.size
        new: list[Alteration] = [*branches, *ports]
        self._place |= {what: len(self._answers) + k for k, what in enumerate(new)}
        grown = np.zeros((len(self._answers) + len(branches) + len(ports), size + 1), dtype=complex)
        grown[: len(self._answers)] = self._answers
        grown[len(self._answers) :, :size] = np.hstack(
            [system.of_openings(branches), -system.of_ports(ports)]
        ).T
        self._answers = grown
        ground = system.equations.ground
        rows = [system.equations.row_of[branch] for branch in branches]
        ends = [system.numbers(port[end] for port in ports) for end in (0, 1)]
        first, second = (np.where(end == ground, size, end) for end in ends)
        self._first = np.concatenate([self._first, rows, first]).astype(np.int64)
        self._second = np.concatenate([self._second, np.full(len(rows), size), second]).astype(np.int64)

    def among(self, of: Numbers, at: Numbers) -> Complex:
        """Return what alterations `at` see of the unit answers `of` others (of × at): the voltage across a
        port, the current in a branch.
        """
        rows = self._answers[of]
        return np.asarray(rows[:, self._first[at]] - rows[:, self._second[at]])

    def driven(self, at: Numbers) -> Complex:
        """Return what alterations see of the unit answers to the sources (sources × alterations)."""
        return np.asarray(self._sources[:, self._first[at]] - self._sources[:, self._second[at]])

    def seen(self, unknowns: Complex, at: Numbers) -> Complex:
        """Return what ports see of solutions (one in each column): (solutions × ports)."""
        padded = np.vstack([unknowns, np.zeros((1, unknowns.shape[1]))])
        return np.asarray(padded[self._first[at]] - padded[self._second[at]]).T

    def of(self, places: Numbers) -> Complex:
        """Return the unit answers of alterations, one row of unknowns for each."""
        return np.asarray(self._answers[places, :-1])

    def ends(self, places: Numbers) -> tuple[Numbers, Numbers]:
        """Return the numbers of the two nodes of each port, true earth being the number of nodes."""
        ground = self.system.equations.ground
        return np.minimum(self._first[places], ground), np.minimum(self._second[places], ground)


@dataclass(frozen=True)
class Outcome:
    """The solution of each case: the size of each source, and what each of its alterations came to: the
    current through a port from its first node to its second, the voltage in an open branch.

    `matrix` (cases × alterations × alterations) is what ties those of one case together.
    """

    answers: Answers
    cases: Numbers
    matrix: Complex
    settled: Settled
    altered: Complex
    unknowns: Complex

    def thevenin(self, ports: Numbers) -> tuple[Complex, Complex]:
        """Return the voltage across other ports in each case, and the impedance behind (cases × ports)."""
        found = self.answers
        own, inverse = np.unique(self.cases, return_inverse=True)
        inverse = inverse.reshape(self.cases.shape)
        there = np.moveaxis(found.among(ports, own)[:, inverse], 0, 2)
        back = found.among(own, ports)[inverse]
        alone = found.among(ports, ports).diagonal()
        held = np.linalg.solve(self.matrix, there)
        return found.seen(self.unknowns, ports), np.einsum("cap,cap->cp", back, held) - alone


def alter(found: Answers, cases: Numbers, resistance_ohm: Real, start: Complex) -> Outcome:
    """Close ports and open branches in each case, and settle the sources.

    cases: (cases × alterations at once), places of alterations; resistance_ohm: the same shape, 0 for an open
    branch, infinite for what is left as it is; start: (sources × cases), the size of each source with nothing
    limited.
    """
    count = cases.shape[1]
    idle = np.isinf(resistance_ohm)
    cases = np.where(idle, 0, cases)
    places, inverse = np.unique(cases, return_inverse=True)
    inverse = inverse.reshape(cases.shape)
    rows = found.of(places)
    among = found.among(places, places)
    matrix = among[inverse[:, None, :], inverse[:, :, None]].astype(complex)
    matrix[:, range(count), range(count)] += np.where(idle, 1, -resistance_ohm)
    per_source = np.moveaxis(found.driven(places)[:, inverse], 0, 2)
    # ohms and siemens stand side by side in the matrix: scaled so that its diagonal is one
    size = np.abs(matrix[:, range(count), range(count)])
    scale = 1 / np.sqrt(np.where(size > 0, size, 1))
    scaled = matrix * scale[:, :, None] * scale[:, None, :]
    share = -scale[:, :, None] * np.linalg.solve(scaled, per_source * scale[:, :, None])
    own = np.repeat(found.of_sources[found.source_rows][:, :, None], len(cases), axis=2)
    held = rows[:, found.source_rows]
    for place in range(count):
        own += held[inverse[:, place]].T[:, None, :] * share[:, place, :].T[None, :, :]
    settled = settle(found.adjustable, start, own)
    altered = np.einsum("cps,sc->cp", share, settled.scale)
    unknowns = np.ascontiguousarray((found.of_sources @ settled.scale).T)
    for place in range(count):
        some = np.flatnonzero(altered[:, place])
        unknowns[some] += rows[inverse[some, place]] * altered[some, place, None]
    return Outcome(found, cases, matrix, settled, altered, unknowns.T)


def held(equations: Equations, opened: Numbers, islands: Numbers) -> tuple[int, ...]:
    """Return which of the branches that have opened must be held without current, `islands` being those left.

    All but one tie of each island that has come loose: through the last one nothing flows anyway, and it says
    from where the potentials of that island count.
    """
    a, b = islands[equations.a[opened]], islands[equations.b[opened]]
    if (a == b).all():
        return tuple(opened.tolist())
    found, joined = [], Potentials()
    for branch, one, other in zip(opened.tolist(), map(str, a.tolist()), map(str, b.tolist()), strict=True):
        if one == other or joined.same(one, other):
            found.append(branch)
        else:
            joined.join(one, other)
    return tuple(found)
