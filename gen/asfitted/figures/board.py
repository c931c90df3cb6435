"""What belongs on the wiring diagram of a board: the devices in it, what feeds its bars, what hangs on them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from asfitted.description.kinds import Inline, TransferSwitch
from asfitted.network.model import Cable, Item, Network

BAR_FIELDS = ("line_bar", "line_1_bar", "line_2_bar", "plus_bar", "neutral_bar", "minus_bar")


@dataclass(frozen=True)
class Branch:
    """A cable at one end of a device or bar of the board, and the device behind it, if that is in the board too.

    `outside` is the id of the equipment at its far end, where that is not in the board.
    """

    cable: str
    device: str = ""
    outside: str = ""
    feeds: tuple[tuple[str, Branch], ...] = ()
    """For the device behind it: (name of the port, the branch that feeds it)."""


@dataclass(frozen=True)
class Board:
    """`bars` are those of live conductors, from the top; `above` feeds them, `below` is fed by them, first the circuits
    of its own devices; `beside` are devices that only pass through the board, each between two cables; `ties` are
    cables from bar to bar within it.
    """

    name: str
    bars: tuple[str, ...]
    earth_bar: str
    above: tuple[Branch, ...]
    below: tuple[Branch, ...]
    beside: tuple[Branch, ...]
    ties: tuple[str, ...] = ()


def boards(network: Network) -> tuple[Board, ...]:
    """Return what the wiring diagram of each board shows; bars that several boards share are told once."""
    told: set[str] = set()
    found = []
    for name in network.description.boards:
        board = _Sorter(network, name, told).board()
        if board.above or board.below or board.beside:
            found.append(board)
    return tuple(found)


class _Sorter:
    """Sorts what touches a board; `told` are the cables of earlier boards."""

    def __init__(self, network: Network, name: str, told: set[str]) -> None:
        self.network, self.name, self.told = network, name, told
        spec = network.description.boards[name]
        self.bars = tuple(bar for f in BAR_FIELDS if (bar := getattr(spec, f)))
        self.earth_bar = spec.earth_bar or ""
        self.items = {
            item.id: item
            for item in network.items.values()
            if item.board == name and isinstance(item.spec, Inline | TransferSwitch)
        }
        self.ends: dict[str, list[tuple[Cable, str, str]]] = {}
        for cable in network.cables.values():
            for core in cable.cores:
                for here, there in ((core.a, core.b), (core.b, core.a)):
                    self.ends.setdefault(here, []).append((cable, here, there))
        self.used: set[str] = set()

    def board(self) -> Board:
        """Return the board sorted."""
        above = tuple(self._above())
        below = tuple(self._below())
        beside = tuple(self._beside())
        self.told |= self.used
        return Board(self.name, self.bars, self.earth_bar, above, below, beside, tuple(self._ties()))

    def _ports(self, item: Item, into: bool) -> list[str]:
        if isinstance(item.spec, TransferSwitch):
            return ["source 1", "source 2"] if into else ["out"]
        return ["in"] if into else ["out"]

    def _on_bar(self, item: Item, into: bool) -> bool:
        """Tell whether a port of a device is bolted to a bar of the board."""
        prefixes = tuple(f"{item.id}.{port}." for port in self._ports(item, into))
        return any(
            (a.startswith(prefixes) and b in self.bars) or (b.startswith(prefixes) and a in self.bars)
            for a, b in ((join.a, join.b) for join in self.network.joins)
        )

    def _cables_at(self, terminals: tuple[str, ...]) -> Iterator[tuple[Cable, str, str]]:
        for terminal, found in self.ends.items():
            if terminal.startswith(terminals) or terminal in terminals:
                yield from (end for end in found if end[0].id not in self.used)

    def _above(self) -> Iterator[Branch]:
        for item in self.items.values():
            if self._on_bar(item, into=False):
                yield Branch("", item.id, feeds=tuple(self._feeding(item)))
        for bar in self.bars:
            for cable, here, there in list(self._cables_at((bar,))):
                owner = self.network.owner[there]
                core = next(c for c in cable.cores if here in (c.a, c.b) and there in (c.a, c.b))
                if cable.id in self.used:
                    continue
                if owner in self.items and there.startswith(f"{owner}.out."):
                    self.used.add(cable.id)
                    yield Branch(cable.id, owner, feeds=tuple(self._feeding(self.items[owner])))
                elif owner not in (*self.items, *self.bars) and core.b == here and self._from_outside(cable):
                    self.used.add(cable.id)
                    yield Branch(cable.id, outside=owner)

    def _from_outside(self, cable: Cable) -> bool:
        return all(self.network.owner[core.a] not in self.items for core in cable.cores)

    def _feeding(self, item: Item) -> Iterator[tuple[str, Branch]]:
        for port in self._ports(item, into=True):
            for cable, _, there in list(self._cables_at((f"{item.id}.{port}.",))):
                if cable.id in self.used:
                    continue
                self.used.add(cable.id)
                owner = self.network.owner[there]
                if owner in self.items:
                    yield port, Branch(cable.id, owner, feeds=tuple(self._feeding(self.items[owner])))
                else:
                    yield port, Branch(cable.id, outside=owner)

    def _below(self) -> Iterator[Branch]:
        for item in self.items.values():
            if not self._on_bar(item, into=True):
                continue
            cables = dict.fromkeys(c.id for c, _, _ in self._cables_at((f"{item.id}.out.",)))
            for n, id_ in enumerate(cables):
                self.used.add(id_)
                yield Branch(id_, item.id if n == 0 else "", outside=self._far(id_, item.id))
        rest = [*self.bars, *([self.earth_bar] if self.earth_bar else [])]
        for bar in rest:
            for cable, _, there in list(self._cables_at((bar,))):
                owner = self.network.owner[there]
                own = owner in self.items or owner in rest
                told = cable.id in self.used or cable.id in self.told
                if not (told or own) and (bar != self.earth_bar or len(cable.cores) == 1):
                    self.used.add(cable.id)
                    yield Branch(cable.id, outside=owner)

    def _beside(self) -> Iterator[Branch]:
        for item in self.items.values():
            into = list(dict.fromkeys(c.id for c, _, _ in self._cables_at((f"{item.id}.in.",))))
            out = list(dict.fromkeys(c.id for c, _, _ in self._cables_at((f"{item.id}.out.",))))
            if not (into and out):
                continue
            self.used |= {into[0], out[0]}
            feeder = Branch(into[0], outside=self._far(into[0], item.id))
            yield Branch(out[0], item.id, outside=self._far(out[0], item.id), feeds=(("in", feeder),))

    def _ties(self) -> Iterator[str]:
        own = {*self.bars, self.earth_bar}
        for cable in self.network.cables.values():
            if len(cable.cores) == 1 and {cable.cores[0].a, cable.cores[0].b} <= own:
                yield cable.id

    def _far(self, cable: str, here: str) -> str:
        """Return the equipment at the other end of a cable."""
        own = {here, *self.bars, self.earth_bar}
        for core in self.network.cables[cable].cores:
            for end in (core.a, core.b):
                if (owner := self.network.owner[end]) not in own:
                    return owner
        return ""
