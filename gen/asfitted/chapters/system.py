"""Chapter: your system. The single-line diagram, the sources, the places where things are."""

from typing import Any

from markupsafe import Markup

from asfitted.chapters.book import Book
from asfitted.description.kinds import AcSupply, Inline, Inverter, TransferSwitch
from asfitted.figures.single_line import not_drawn
from asfitted.network.labels import cable_size, ends, kind_word, rating, where
from asfitted.network.model import Item, Network
from asfitted.numbers import quantity


def context(book: Book) -> dict[str, Any]:
    """Return the figures of the whole build, its supplies with their sites, its boards and places."""
    network = book.study.network
    places: dict[str, list[Any]] = {}
    for item in network.items.values():
        board = network.description.boards.get(item.board or "")
        place = where(item) or (board.place if board else "") or ""
        if place and item.kind not in ("busbar", "earth bar"):
            places.setdefault((board.place if board and board.place else place), []).append(
                book.item(item.id)
            )
    return {
        "pictures": book.single_line,
        "undrawn": _undrawn(book),
        "earthed": _earthed(network),
        "earthing": book.earthing,
        "supplies": [
            _supply(book, item.id, item.spec)
            for item in network.items.values()
            if isinstance(item.spec, AcSupply)
        ],
        "inverters": [
            {"name": book.item(item.id), "spec": item.spec, "rating": rating(item.spec)}
            for item in network.items.values()
            if isinstance(item.spec, Inverter)
        ],
        "transfers": [
            {
                "name": book.item(item.id),
                "spec": item.spec,
                "rating": rating(item.spec),
                "kind": kind_word(item),
                "source_1": _on_input(book, item, "source 1"),
                "source_2": _on_input(book, item, "source 2"),
            }
            for item in network.items.values()
            if isinstance(item.spec, TransferSwitch)
        ],
        "boards": [
            {
                "name": name,
                "place": board.place,
                "devices": [
                    book.item(i.id) for i in network.items.values() if i.board == name and book.is_device(i)
                ],
            }
            for name, board in network.description.boards.items()
        ],
        "plan": book.plan,
        "places": [{"name": place, "items": items} for place, items in places.items()],
    }


def _on_input(book: Book, switch: Item, position: str) -> Markup:
    """Return the sources that reach one input of a changeover in any state."""
    terminal = f"{switch.id}.{position}.L"
    reaching = (s for state in book.study.states for s in state.sources if state.reaches(s, terminal))
    return Markup(" or ").join(book.item(source) for source in dict.fromkeys(reaching))


def _undrawn(book: Book) -> dict[str, Any]:
    """Return what the diagram leaves out: where conductors meet, and equipment between two cables."""
    network = book.study.network
    items, cables = not_drawn(network)
    inline = [item for item in items if isinstance(item.spec, Inline)]
    return {
        "meeting": ", ".join(item.name for item in items if item not in inline),
        "inline": [
            {
                "name": item.name,
                "kind": kind_word(item),
                "cables": [cable.id for cable in cables if item.id in ends(network, cable)],
            }
            for item in inline
        ],
    }


def _earthed(network: Network) -> dict[str, Any] | None:
    """Return the first cable whose designation counts its green-and-yellow core, to explain it."""
    for cable in network.cables.values():
        if cable.size and "G" in cable_size(cable):
            return {
                "size": cable_size(cable),
                "cores": len(cable.cores),
                "core": quantity(cable.size.mm2, "mm²"),
            }
    return None


def _supply(book: Book, id_: str, spec: AcSupply) -> dict[str, Any]:
    sites = [
        {
            "name": name,
            "voltage_v": site.voltage_v or spec.voltage_v,
            "rating_a": site.rating_a or spec.rating_a,
            "earthing": site.earthing or spec.earthing,
            "polarity": site.polarity or spec.polarity,
        }
        for name, site in spec.at.items()
    ]
    return {"name": book.item(id_), "spec": spec, "sites": sites}
