"""Chapter: the operating states, what is live in each, where neutral meets earth, what can trip."""

from typing import Any

from asfitted.chapters.book import Book
from asfitted.chapters.fault_names import capital
from asfitted.network.build import input_terminals
from asfitted.network.direct import DirectState
from asfitted.numbers import quantity
from asfitted.studies.bonding import Island, Tie
from asfitted.studies.load_dump import LoadDump
from asfitted.studies.naming import direct_name
from asfitted.tables.circuit_defaults import circuit_default


def context(book: Book) -> dict[str, Any]:
    """Return one row per state for the overview, and a section for each; the figures of the links in use."""
    return {
        "states": [_state(book, number) for number in range(len(book.study.states))],
        "links_in_use": book.links_in_use,
        "direct": [_direct(book, state) for state in book.study.direct_states],
        "hull": _hull(book),
        "dumps": [_dump(book, dump) for dump in book.study.load_dumps],
    }


def _hull(book: Book) -> dict[str, str] | None:
    """Return what is taken between the hull of a boat and true earth, in three surroundings; None for all else."""
    if book.study.network.description.build.setting != "boat":
        return None
    return {
        "fresh": quantity(circuit_default("hull", "least").value, "Ω"),
        "salt": quantity(circuit_default("hull", "greatest").value, "Ω"),
        "ashore": quantity(circuit_default("hull ashore", "least").value / 1e6, "MΩ"),
    }


def _direct(book: Book, state: DirectState) -> dict[str, Any]:
    """Return what gives direct current in a state of the d.c. side, and which plugs and connectors are live."""
    network, rest = state.network, book.study.direct_states[0]
    batteries = {item.id for item in network.of_kind("battery")}
    plugs = {
        item.id: tuple(f"{item.id}.{port}.plus" for port in ("pins", "coupler"))
        for item in network.of_kind("dc inlet")
    }
    plugs |= {item.id: (f"{item.id}.plus",) for item in network.of_kind("solar array")}
    live = [id_ for id_, ends in plugs.items() if any(end in state.energised for end in ends)]
    known = {network.owner[terminal] for terminal in rest.energised}
    newly = (network.owner[terminal] for terminal in state.energised)
    return {
        "name": capital(direct_name(state)),
        "gives": book.things(tuple(id_ for id_ in state.sources if id_ not in batteries)),
        "plugs": book.things(tuple(live)),
        "also": book.things(tuple(id_ for id_ in newly if id_ not in known and id_ not in live)),
    }


def _dump(book: Book, dump: LoadDump) -> dict[str, Any]:
    return {
        "alternator": book.item(dump.alternator),
        "opens": book.item(dump.opens),
        "by": dump.by,
        "volts": f"{dump.dump.least_v.value:g} – {dump.dump.greatest_v.value:g} V",
        "time": quantity(dump.dump.greatest_s, "s"),
        "bears": book.things(dump.bears),
        "dark": book.things(dump.dark),
        "source": dump.dump.least_v.source,
    }


def _state(book: Book, number: int) -> dict[str, Any]:
    state = book.study.states[number]
    network = book.study.network
    fed = {consumer for consumers in state.feeding.values() for consumer in consumers}
    consumers = [item.id for item in network.items.values() if input_terminals(item)]
    return {
        "id": state.id,
        "name": book.state_names[state.id],
        "anchor": book.state_anchors[state.id],
        "transit": state.in_transit,
        "conditions": [(network.items[id_].name, condition) for id_, condition in state.conditions],
        "positions": [(book.item(id_), position) for id_, position in state.positions],
        "sources": [
            {"name": book.item(source), "feeds": book.things(consumers_fed)}
            for source, consumers_fed in state.feeding.items()
            if consumers_fed
        ],
        "idle": book.things(tuple(s for s, consumers_fed in state.feeding.items() if not consumers_fed)),
        # A source that is not charged from elsewhere meanwhile does not lack anything.
        "dead": book.things(tuple(c for c in consumers if c not in fed and not state.feeding.get(c))),
        "islands": [_island(book, island) for island in book.study.islands[state.id]],
        "links_idle": book.things(
            tuple(s for i in book.study.islands[state.id] if i.idle and i.ties for s in i.sources)
        ),
        "outlets": [
            {
                "outlet": book.item(cover.outlet),
                "source": book.item(cover.source),
                "aboard": book.things(cover.aboard),
                "at_site": cover.at_site,
                "protected": cover.protected,
            }
            for cover in book.study.coverage[state.id]
        ],
        "pictures": book.states.get(state.id, ()),
    }


def _island(book: Book, island: Island) -> dict[str, Any]:
    return {
        "sources": book.things(island.sources),
        "idle": island.idle,
        "measure": island.measure,
        "count": len(island.effective),
        "ties": [_tie(book, island, tie) for tie in island.ties],
    }


def _tie(book: Book, island: Island, tie: Tie) -> dict[str, Any]:
    item = book.study.network.items.get(tie.at)
    return {
        "at": book.thing(tie.at),
        "kind": item.kind if item else "cable",
        "earth": tie.earth.split(".")[0].replace("_", " "),
        "own_terminal": tie.earth.endswith(".PE"),
        "effective": tie.effective,
        "load_side_of": book.things(tie.load_side_of),
    }
