"""The order of the cells in each layer: few crossings, circuits in the order of the description.

Barycentre sweeps, each followed by exchange of neighbours and mirroring of switches until nothing improves,
from several starts. Deterministic: the starts are shuffled with fixed seeds.
"""

from __future__ import annotations

import random
from bisect import bisect_right, insort
from collections import defaultdict
from dataclasses import dataclass

from .proper import Edge, Pin, Proper
from .shapes import END, START

_OUT_OF_ORDER = 0.15
_EARTH_BAR_NOT_LAST = 50.0
_TURN_WIDTH = 0.1
_PORT = 0.2
"""A port counts this much of a place beside the axis of its node."""


@dataclass(frozen=True)
class Order:
    """Members of each layer from left to right, the nodes drawn mirrored, and what the order costs."""

    layers: tuple[tuple[int, ...], ...]
    mirrored: frozenset[int]
    cost: float


class _Sorter:
    """The state of one search."""

    def __init__(self, graph: Proper, layers: list[list[int]]) -> None:
        self.graph = graph
        self.layers = [list(layer) for layer in layers]
        self.place = [0] * len(graph.nodes)
        self.mirrored: set[int] = set()
        self.up: list[list[tuple[Pin, Pin, int]]] = [[] for _ in graph.nodes]
        self.down: list[list[tuple[Pin, Pin, int]]] = [[] for _ in graph.nodes]
        self.turns: dict[int, list[Edge]] = defaultdict(list)
        self.by_channel: list[list[Edge]] = [[] for _ in range(len(layers) + 1)]
        self.bars = [graph.is_bar(node) for node in range(len(graph.nodes))]
        self.earth = [
            node.piece >= 0 and graph.diagram.pieces[node.piece].symbol == "earth_bar" for node in graph.nodes
        ]
        for edge in graph.edges:
            self.by_channel[edge.channel].append(edge)
            if edge.turn:
                self.turns[edge.a.node].append(edge)
                self.turns[edge.b.node].append(edge)
            else:
                self.down[edge.a.node].append((edge.a, edge.b, edge.wire))
                self.up[edge.b.node].append((edge.b, edge.a, edge.wire))
        self.renumber()

    def renumber(self) -> None:
        for layer in self.layers:
            for place, node in enumerate(layer):
                self.place[node] = place

    def key(self, pin: Pin) -> float:
        """The place of a pin along its layer; taps of a bar share one, they never cross each other."""
        offset = self.graph.offsets[pin.node].get(pin.slot, 0.0)
        if not offset:
            return float(self.place[pin.node])
        sign = 1 if (offset > 0) != (pin.node in self.mirrored) else -1
        return self.place[pin.node] + sign * _PORT

    def pair(self, a: int, b: int) -> tuple[float, float]:
        """Return the cost of a before b, and of b before a, for neighbours of one layer."""
        ahead = behind = 0.0
        for edges in (self.up, self.down):
            others = [(self.key(pin), pin.node, wire) for _, pin, wire in edges[b]]
            for _, pin, wire in edges[a]:
                key = self.key(pin)
                for other, node, way in others:
                    if key > other:
                        ahead += 1
                    elif key < other:
                        behind += 1
                    elif node == pin.node and self.bars[node]:
                        if wire > way:
                            ahead += _OUT_OF_ORDER
                        else:
                            behind += _OUT_OF_ORDER
        if self.earth[a] != self.earth[b]:
            if self.earth[a]:
                ahead += _EARTH_BAR_NOT_LAST
            else:
                behind += _EARTH_BAR_NOT_LAST
        return ahead, behind

    def turn_cost(self, turns: list[Edge]) -> float:
        cost = 0.0
        for turn in turns:
            low, high = sorted((self.key(turn.a), self.key(turn.b)))
            for edge in self.by_channel[turn.channel]:
                if edge is not turn:
                    for pin in (edge.a, edge.b):
                        if pin.side == turn.a.side and low < self.key(pin) < high:
                            cost += 1
            cost += _TURN_WIDTH * (high - low)
        return cost

    def exchange(self) -> None:
        """Exchange neighbours and mirror switches until nothing improves."""
        for _ in range(12):
            better = False
            for layer in self.layers:
                for i in range(len(layer) - 1):
                    a, b = layer[i], layer[i + 1]
                    ahead, behind = self.pair(a, b)
                    turns = self.turns.get(a, []) + self.turns.get(b, [])
                    if not turns:
                        if behind < ahead - 1e-9:
                            self.swap(layer, i)
                            better = True
                        continue
                    before = ahead + self.turn_cost(turns)
                    self.swap(layer, i)
                    if behind + self.turn_cost(turns) < before - 1e-9:
                        better = True
                    else:
                        self.swap(layer, i)
            better |= self.mirror()
            if not better:
                return

    def swap(self, layer: list[int], i: int) -> None:
        layer[i], layer[i + 1] = layer[i + 1], layer[i]
        self.place[layer[i]], self.place[layer[i + 1]] = i, i + 1

    def mirror(self) -> bool:
        better = False
        for node in range(len(self.graph.nodes)):
            if not self.graph.is_fixed(node):
                continue
            channels = (self.graph.nodes[node].layer, self.graph.nodes[node].layer + 1)
            before = sum(self.channel_cost(c) for c in channels)
            self.mirrored ^= {node}
            if sum(self.channel_cost(c) for c in channels) < before - 1e-9:
                better = True
            else:
                self.mirrored ^= {node}
        return better

    def channel_cost(self, channel: int) -> float:
        """Crossings inside a channel, by counting inversions, and its turns."""
        edges = self.by_channel[channel]
        keys = sorted((self.key(e.a), self.key(e.b)) for e in edges if not e.turn)
        seen: list[float] = []
        cost = 0.0
        for i, (_, b) in enumerate(keys):
            cost += i - bisect_right(seen, b)
            insort(seen, b)
        return cost + self.turn_cost([e for e in edges if e.turn])

    def cost(self) -> float:
        total = sum(self.channel_cost(channel) for channel in range(len(self.layers) + 1))
        bars = [node for node, is_bar in enumerate(self.bars) if is_bar]
        return total + _OUT_OF_ORDER * sum(self.disorder(e) for n in bars for e in (self.up[n], self.down[n]))

    def disorder(self, edges: list[tuple[Pin, Pin, int]]) -> int:
        """Count the pairs of ways on one side of a bar that do not stand as described."""
        ways = [wire for _, _, wire in sorted(edges, key=lambda edge: self.key(edge[1]))]
        return sum(ways[i] > ways[j] for i in range(len(ways)) for j in range(i + 1, len(ways)))

    def straighten(self) -> None:
        """Put the circuits of each bar into the order of the description, whole chains at a time.

        Exchange of neighbours cannot do it: each single step would cross wires.
        """
        least = self.cost()
        for bar in (node for node, is_bar in enumerate(self.bars) if is_bar):
            for edges in (self.up[bar], self.down[bar]):
                if not self.disorder(edges):
                    continue
                alike: dict[tuple[int, ...], list[list[int]]] = defaultdict(list)
                for _, pin, _ in sorted(edges, key=lambda edge: edge[2]):
                    chain = self.chain(pin.node, bar)
                    alike[tuple(self.graph.nodes[node].layer for node in chain)].append(chain)
                alike.pop((), None)
                for layers, chains in alike.items():
                    before = [list(self.layers[layer]) for layer in layers]
                    for layer, nodes in zip(layers, zip(*chains, strict=True), strict=True):
                        places = sorted(self.place[node] for node in nodes)
                        for place, node in zip(places, nodes, strict=True):
                            self.layers[layer][place] = node
                    self.renumber()
                    cost = self.cost()
                    if cost > least - 1e-9:
                        for layer, members in zip(layers, before, strict=True):
                            self.layers[layer] = members
                        self.renumber()
                    else:
                        least = cost

    def chain(self, node: int, previous: int) -> list[int]:
        """Return the nodes from a bar's neighbour to the load that the way ends at; none if it branches."""
        found = []
        while not self.turns.get(node):
            found.append(node)
            onward = [pin.node for _, pin, _ in self.up[node] + self.down[node] if pin.node != previous]
            if not onward:
                return found
            if len(onward) > 1:
                break
            previous, node = node, onward[0]
        return []

    def sweep(self, downward: bool) -> None:
        """Sort each layer by the mean place of the neighbours; a cell without any keeps its place."""
        for layer in self.layers if downward else reversed(self.layers):
            edges = self.up if downward else self.down
            mean = {
                n: sum(self.key(pin) for _, pin, _ in edges[n]) / len(edges[n]) for n in layer if edges[n]
            }
            moving = iter(sorted((n for n in layer if n in mean), key=mean.__getitem__))
            layer[:] = [next(moving) if n in mean else n for n in layer]
            for place, node in enumerate(layer):
                self.place[node] = place


def find_orders(graph: Proper, starts: int = 6, keep: int = 3) -> list[Order]:
    """Return up to `keep` different orders of the least cost found, the one nearest the description first."""
    found: dict[tuple[tuple[int, ...], ...], Order] = {}
    for start in range(starts):
        sorter = _Sorter(graph, _depth_first(graph, start))
        for sweep in range(9):
            if sweep:
                sorter.sweep(downward=sweep % 2 == 1)
            sorter.exchange()
            sorter.straighten()
            layers = tuple(tuple(layer) for layer in sorter.layers)
            if layers not in found:
                found[layers] = Order(layers, frozenset(sorter.mirrored), round(sorter.cost(), 2))
            if found[layers].cost < 1e-9:
                break
        if min(order.cost for order in found.values()) < 1:
            break
    least = min(order.cost for order in found.values())
    return [order for order in found.values() if order.cost <= least + 1e-9][:keep]


def _depth_first(graph: Proper, seed: int) -> list[list[int]]:
    """Fill the layers by walking the graph as described; other seeds shuffle the ways."""
    chance = random.Random(seed)  # noqa: S311 - a reproducible shuffle, no secret
    beside: list[list[list[int]]] = [[[], []] for _ in graph.nodes]
    for edge in graph.edges:
        beside[edge.a.node][edge.a.side].append(edge.b.node)
        beside[edge.b.node][edge.b.side].append(edge.a.node)
    layers: list[list[int]] = [[] for _ in graph.layers]
    seen: set[int] = set()
    roots = [n for n in range(len(graph.nodes)) if not beside[n][START]] + list(range(len(graph.nodes)))
    if seed:
        chance.shuffle(roots)
    for root in roots:
        stack = [root]
        while stack:
            node = stack.pop()
            if node in seen:
                continue
            seen.add(node)
            layers[graph.nodes[node].layer].append(node)
            ways = [list(beside[node][START]), list(beside[node][END])]
            if seed:
                chance.shuffle(ways[0])
                chance.shuffle(ways[1])
            stack += [n for n in reversed(ways[0] + ways[1]) if n not in seen]
    return layers
