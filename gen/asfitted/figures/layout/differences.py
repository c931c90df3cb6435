"""Linear programmes whose every row is a difference of two unknowns, solved by network simplex on the dual.

Minimise a sum of w·(x_b - x_a) and w·|x_b - x_a - d| subject to x_b - x_a >= d. The dual is a flow of least
cost: a hard row is an arc without limit, a soft one a pair of arcs of capacity w. The unknowns are then the
longest distances in the residual graph.
"""

from __future__ import annotations

from collections import deque

import networkx as nx

_MM = 100
_WEIGHT = 20
"""Lengths in hundredths of a millimetre and weights in twentieths: the simplex needs integers to be exact."""


class Differences:
    """Collects rows over unknowns numbered from 0 and solves them."""

    def __init__(self) -> None:
        self._demand: list[int] = []
        self._arcs: list[tuple[int, int, int, int | None]] = []

    def unknown(self) -> int:
        """Return a new unknown."""
        self._demand.append(0)
        return len(self._demand) - 1

    def at_least(self, a: int, b: int, distance: float) -> None:
        """Demand x_b - x_a >= distance."""
        self._arcs.append((a, b, round(distance * _MM), None))

    def prefer(self, a: int, b: int, distance: float, weight: float) -> None:
        """Charge weight·|x_b - x_a - distance|."""
        d, w = round(distance * _MM), max(1, round(weight * _WEIGHT))
        self._arcs.append((a, b, d, w))
        self._arcs.append((b, a, -d, w))

    def shorten(self, a: int, b: int, weight: float) -> None:
        """Charge weight·(x_b - x_a); a row `at_least` must bound it."""
        w = max(1, round(weight * _WEIGHT))
        self._demand[b] += w
        self._demand[a] -= w

    def solve(self) -> list[float]:
        """Return the unknowns, the least of them 0. Raises networkx.NetworkXUnbounded if rows contradict."""
        graph: nx.MultiDiGraph[int] = nx.MultiDiGraph()
        for node, demand in enumerate(self._demand):
            graph.add_node(node, demand=demand)
        for key, (a, b, d, limit) in enumerate(self._arcs):
            if limit is None:
                graph.add_edge(a, b, key=key, weight=-d)
            else:
                graph.add_edge(a, b, key=key, weight=-d, capacity=limit)
        _, flow = nx.network_simplex(graph)
        residual: list[list[tuple[int, int]]] = [[] for _ in self._demand]
        for key, (a, b, d, limit) in enumerate(self._arcs):
            used = flow[a][b][key]
            if limit is None or used < limit:
                residual[a].append((b, d))
            if used > 0:
                residual[b].append((a, -d))
        values = [0] * len(self._demand)
        waiting = deque(range(len(values)))
        queued = [True] * len(values)
        while waiting:
            a = waiting.popleft()
            queued[a] = False
            for b, d in residual[a]:
                if values[a] + d > values[b]:
                    values[b] = values[a] + d
                    if not queued[b]:
                        queued[b] = True
                        waiting.append(b)
        return [value / _MM for value in values]
