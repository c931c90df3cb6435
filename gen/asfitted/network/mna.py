"""Sparse modified nodal analysis of an equivalent circuit at one frequency.

Branches below 0.05 ohm keep their current as an unknown instead of being read from a difference of two
almost equal potentials: with plain nodal analysis the error of a current is the error of a voltage times
the admittance, and the few milliamperes that trip a residual current device drown in it. So do all that can
open or break, since an unknown current can be held at zero (see `ports`).
"""

from collections.abc import Iterable, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csc_matrix
from scipy.sparse.csgraph import connected_components
from scipy.sparse.linalg import SuperLU, splu

from asfitted.network.circuit import EARTH, Circuit

KEEPS_CURRENT_OHM = 0.05
#: kinds of branches that can open, break or be lost
CAN_OPEN = ("pole", "contact", "core", "bond", "electrode", "isolator")
Complex = NDArray[np.complex128]


class Equations:
    """The equations of a circuit at one frequency, with every branch in them; `System` closes some and
    solves.

    The unknowns are the potentials of the nodes, then the currents of the branches that keep theirs. The
    pattern of the matrix does not depend on what is open, so that it is laid out once.
    """

    def __init__(self, circuit: Circuit, frequency_hz: float) -> None:
        self.circuit = circuit
        self.frequency_hz = frequency_hz
        branches = circuit.branches
        z: Complex = np.array(
            [branch.impedance_ohm(frequency_hz) for branch in branches], dtype=np.complex128
        )
        self.z: Complex = z
        self.never = ~np.isfinite(z)
        ground = len(circuit.nodes)
        where = {**circuit.node_index, EARTH: ground}
        self.a = np.array([where[branch.a] for branch in branches])
        self.b = np.array([where[branch.b] for branch in branches])
        self.ground = ground
        keeps = (np.abs(z) < KEEPS_CURRENT_OHM) | np.array(
            [bool(b.source or b.emf_v or b.emf_dc_v or b.primary) or b.kind in CAN_OPEN for b in branches]
        )
        self.kept = np.flatnonzero(keeps & ~self.never)
        self.nodal = np.flatnonzero(~keeps & ~self.never)
        self.row_of = {int(branch): ground + row for row, branch in enumerate(self.kept)}
        self.size = ground + len(self.kept)
        self._lay_out()

    def _lay_out(self) -> None:
        """Lay out rows and columns of all entries: each is a factor times a quantity that depends on the
        switches.
        """
        rows: list[NDArray[np.int64]] = []
        columns: list[NDArray[np.int64]] = []
        factors: list[Complex] = []
        owners: list[NDArray[np.int64]] = []

        def put(
            r: NDArray[np.int64], c: NDArray[np.int64], factor: Complex, owner: NDArray[np.int64]
        ) -> None:
            real = (r != self.ground) & (c != self.ground)  # true earth is the reference and has no equation
            rows.append(r[real])
            columns.append(c[real])
            factors.append(factor[real])
            owners.append(owner[real])

        nodal, kept = self.nodal, self.kept
        y = np.asarray(1 / self.z[nodal], dtype=np.complex128)
        a, b = self.a[nodal], self.b[nodal]
        for r, c, sign in ((a, a, 1), (b, b, 1), (a, b, -1), (b, a, -1)):
            put(r, c, sign * y, nodal)
        unknown = -1 - np.arange(len(kept))  # below zero, so that they are never taken for true earth
        for node, sign in self._ends():
            one = np.full(len(kept), sign, dtype=complex)
            here = node >= 0
            put(node[here], unknown[here], one[here], kept[here])
            put(unknown[here], node[here], one[here], kept[here])
        put(unknown, unknown, -self.z[kept], kept)
        # An open branch that keeps its current needs an equation all the same: its current is zero.
        put(unknown, unknown, np.full(len(kept), -1, dtype=complex), kept + len(self.circuit.branches))
        every = np.arange(self.ground)
        put(every, every, np.ones(self.ground, dtype=np.complex128), every + 2 * len(self.circuit.branches))
        row, column = (np.concatenate(part) for part in (rows, columns))
        row = np.where(row < 0, self.ground - 1 - row, row)
        column = np.where(column < 0, self.ground - 1 - column, column)
        self._factor, self._owner = np.concatenate(factors), np.concatenate(owners)
        flat = column.astype(np.int64) * self.size + row
        self._order = np.argsort(flat, kind="stable")
        places, self._starts = np.unique(flat[self._order], return_index=True)
        indices = (places % self.size).astype(np.int32)
        pointers = np.searchsorted(places // self.size, np.arange(self.size + 1)).astype(np.int32)
        zero = np.zeros(len(places), dtype=complex)
        self._template = csc_matrix((zero, indices, pointers), shape=(self.size, self.size))
        self._factor, self._owner = self._factor[self._order], self._owner[self._order]

    def _ends(self) -> list[tuple[NDArray[np.int64], int]]:
        """Return for the branches that keep their current: the nodes they leave (+1) and enter (-1); -1 for
        none.
        """
        ends = [(self.a[self.kept], 1), (self.b[self.kept], -1)]
        primaries = [self.circuit.branches[k].primary for k in self.kept]
        where = {**self.circuit.node_index, EARTH: self.ground}
        if any(primaries):
            # the secondary's current enters the primary at its second node and leaves it at its first
            for place, sign in ((0, -1), (1, 1)):
                ends.append((np.array([where[p[place]] if p else -1 for p in primaries]), sign))
        return ends

    def matrix(self, closed: NDArray[np.bool_], island: NDArray[np.int64]) -> csc_matrix:
        """Return the matrix with the branches closed that `closed` says, one node of each island tied to
        earth.

        `island` is what `islands` says. The tie carries no current: it only says from where potentials
        count. The matrix is good until the next call, which writes over its values.
        """
        ties = np.zeros(self.ground, dtype=bool)
        labels, first = np.unique(island, return_index=True)
        ties[first[labels != island[self.ground]]] = True
        on = np.concatenate([closed, ~closed, ties])
        self._template.data = np.add.reduceat(self._factor * on[self._owner], self._starts)
        return self._template

    def islands(self, closed: NDArray[np.bool_]) -> NDArray[np.int64]:
        """Return the number of the island of each node, true earth last; a transformer joins none.

        closed: for each branch whether it conducts, or (sets × branches); islands of different sets have
        different numbers.
        """
        sets = np.atleast_2d(closed) & ~self.never
        nodes = self.ground + 1
        which, branch = np.nonzero(sets)
        a, b = self.a[branch] + nodes * which, self.b[branch] + nodes * which
        if self._primaries:
            p, q = (np.array(ends) for ends in zip(*self._primaries, strict=True))
            offset = nodes * np.arange(len(sets))[:, None]
            a, b = np.concatenate([a, (p + offset).ravel()]), np.concatenate([b, (q + offset).ravel()])
        size = nodes * len(sets)
        joined = coo_matrix((np.ones(len(a), dtype=np.int8), (a, b)), shape=(size, size))
        labels = connected_components(joined, directed=False)[1].astype(np.int64)
        return np.asarray(labels if closed.ndim == 1 else labels.reshape(len(sets), nodes))

    @cached_property
    def _primaries(self) -> list[tuple[int, int]]:
        """The pairs of nodes joined by the primary winding of a transformer."""
        where = {**self.circuit.node_index, EARTH: self.ground}
        pairs = [branch.primary for branch in self.circuit.branches if branch.primary]
        return [(where[a], where[b]) for a, b in pairs] if self.frequency_hz else []


class System:
    """A circuit with its switches set, factorised once; every solution after that is a pair of triangular
    solves.

    `closed` says for each branch whether it conducts.
    """

    def __init__(self, equations: Equations, closed: NDArray[np.bool_]) -> None:
        self.equations = equations
        self.closed = closed
        #: the number of the island of each node, true earth last
        self.island = equations.islands(closed)
        self._lu: SuperLU = splu(equations.matrix(closed, self.island))

    def of_sources(self, groups: Sequence[Sequence[tuple[int, complex]]]) -> Complex:
        """Return one column of unknowns for each group of (branch, electromotive force in V)."""
        right = np.zeros((self.equations.size, len(groups)), dtype=complex)
        for column, group in enumerate(groups):
            for branch, emf_v in group:
                if self.closed[branch]:
                    right[self.equations.row_of[branch], column] -= emf_v
        return self._solve(right)

    def of_ports(self, ports: Sequence[tuple[str, str]]) -> Complex:
        """Return one column of unknowns for each port (a, b): the answer to 1 A put in at a and taken out
        at b.

        Between two islands no current can flow: the column is zero.
        """
        right = np.zeros((self.equations.size + 1, len(ports)), dtype=complex)
        a, b = self.numbers(p[0] for p in ports), self.numbers(p[1] for p in ports)
        both = np.flatnonzero(self.island[a] == self.island[b])
        ground = self.equations.ground
        for end, sign in ((a, 1), (b, -1)):
            real = both[end[both] != ground]
            right[end[real], real] += sign
        return self._solve(right[:-1])

    def of_openings(self, branches: Sequence[int]) -> Complex:
        """Return one column of unknowns for each branch that keeps its current: the answer to 1 V in it."""
        right = np.zeros((self.equations.size, len(branches)), dtype=complex)
        right[[self.equations.row_of[branch] for branch in branches], range(len(branches))] = -1
        return self._solve(right)

    def numbers(self, nodes: Iterable[str]) -> NDArray[np.int64]:
        """Return the numbers of nodes, true earth being the number of nodes."""
        index, ground = self.equations.circuit.node_index, self.equations.ground
        return np.array([ground if node == EARTH else index[node] for node in nodes], dtype=np.int64)

    def _solve(self, right: Complex) -> Complex:
        return np.asarray(self._lu.solve(right)) if right.shape[1] else right

    def voltage(self, solution: Complex, a: str, b: str) -> Complex:
        """Return the voltage from a to b in each column; not a number where they lie in two islands."""
        (m, n) = self.numbers((a, b))
        if self.island[m] != self.island[n]:
            return np.full(solution.shape[1], np.nan, dtype=complex)
        zero = np.zeros(solution.shape[1], dtype=complex)
        ground = self.equations.ground
        return (zero if m == ground else solution[m]) - (zero if n == ground else solution[n])

    def current(self, solution: Complex, branch: int, emf_v: complex = 0) -> Complex:
        """Return the current of a branch from a to b in each column; `emf_v` for a source that was on in
        them.
        """
        equations = self.equations
        if not self.closed[branch] or equations.never[branch]:
            return np.zeros(solution.shape[1], dtype=complex)
        if branch in equations.row_of:
            return np.asarray(solution[equations.row_of[branch]])
        part = equations.circuit.branches[branch]
        return np.asarray((self.voltage(solution, part.a, part.b) + emf_v) / equations.z[branch])
