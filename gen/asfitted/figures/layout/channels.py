"""Channels between the layers: a trunk for each net whose pins are out of line, and its track."""

from __future__ import annotations

from dataclasses import dataclass

from .coordinates import Places
from .proper import Pin, Proper
from .shapes import END

_SAME_MM = 0.6
_CONFLICT = 100


@dataclass(frozen=True)
class Net:
    """Wires joined inside a channel. `upper` and `lower`: where its pins lie across the flow; `track` from 0
    downward, -1 if the pins are in line.
    """

    channel: int
    pins: tuple[Pin, ...]
    upper: tuple[float, ...]
    lower: tuple[float, ...]
    track: int = -1

    @property
    def span(self) -> tuple[float, float]:
        """Return the ends of the trunk."""
        every = self.upper + self.lower
        return min(every), max(every)


def route(graph: Proper, places: Places) -> tuple[list[Net], list[int]]:
    """Return the nets of all channels and the number of tracks of each channel."""
    nets: list[Net] = []
    tracks: list[int] = []
    for channel in range(len(graph.layers) + 1):
        found = _nets(graph, places, channel)
        bent = [net for net in found if net.span[1] - net.span[0] > 0.005]
        bent_tracks = _assign(_sort(bent))
        nets += [net for net in found if net not in bent] + bent_tracks
        tracks.append(1 + max((net.track for net in bent_tracks), default=-1))
    return nets, tracks


def _nets(graph: Proper, places: Places, channel: int) -> list[Net]:
    group: dict[Pin, list[Pin]] = {}
    for edge in graph.edges:
        if edge.channel == channel:
            a, b = group.setdefault(edge.a, [edge.a]), group.setdefault(edge.b, [edge.b])
            if a is not b:
                a += b
                for pin in b:
                    group[pin] = a
    nets, seen = [], set()
    for pins in group.values():
        if id(pins) not in seen:
            seen.add(id(pins))
            upper = tuple(sorted(places.at(pin) for pin in pins if pin.side == END))
            lower = tuple(sorted(places.at(pin) for pin in pins if pin.side != END))
            nets.append(Net(channel, tuple(pins), upper, lower))
    return nets


def _cost(above: Net, below: Net) -> int:
    """Count the crossings if one trunk lies above the other; pins in line would lie on each other."""
    low, high = above.span
    cost = sum(low + 0.005 < pin < high - 0.005 for pin in below.upper)
    low, high = below.span
    cost += sum(low + 0.005 < pin < high - 0.005 for pin in above.lower)
    return cost + _CONFLICT * sum(abs(a - b) < _SAME_MM for a in above.lower for b in below.upper)


def _sort(nets: list[Net]) -> list[Net]:
    nets = sorted(nets, key=lambda net: net.span)
    for _ in range(len(nets) + 1):
        better = False
        for i in range(len(nets)):
            for j in range(i + 1, len(nets)):
                # Moving net j before net i changes its order with all between.
                between = nets[i:j]
                now = sum(_cost(n, nets[j]) for n in between)
                then = sum(_cost(nets[j], n) for n in between)
                if then < now:
                    nets.insert(i, nets.pop(j))
                    better = True
        if not better:
            break
    return nets


def _assign(nets: list[Net]) -> list[Net]:
    placed: list[Net] = []
    for net in nets:
        low, high = net.span
        track = 0
        for other in placed:
            other_low, other_high = other.span
            if low < other_high + _SAME_MM * 2 and other_low < high + _SAME_MM * 2:
                track = max(track, other.track + 1)
        placed.append(Net(net.channel, net.pins, net.upper, net.lower, track))
    return placed
