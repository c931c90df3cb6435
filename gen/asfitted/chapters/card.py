"""Chapter: the quick card. One sheet to laminate: the emergency, the states, plugging in and out, what feeds what."""

from typing import Any

from markupsafe import Markup

from asfitted.chapters.book import Book
from asfitted.chapters.operation import steps, title
from asfitted.chapters.order import in_order
from asfitted.chapters.sentences import names
from asfitted.chapters.signs import sign
from asfitted.network.labels import found_at
from asfitted.network.states import State
from asfitted.studies.procedures.model import Procedure

#: procedures whose acts stand on the card, where they apply
ON_CARD = ("arrive", "leave", "blackout")
#: more states than this are for the page of states
MOST_STATES = 6


def context(book: Book) -> dict[str, Any]:
    """Return what one must find at night: acts with places, no explanations."""
    found, description = book.procedures, book.study.network.description
    return {
        "build": description.build,
        "revision": description.revision,
        "emergency": steps(book, found.emergency.steps, []),
        "procedures": [
            _acts(book, each) for each in found.procedures if each.code in ON_CARD and each.number == 1
        ],
        "states": [_state(book, state) for state in _telling(book)],
        "devices": _devices(book),
        "signs": [sign("F001"), sign("E003")],
    }


def _acts(book: Book, found: Procedure) -> dict[str, Any]:
    return {"title": title(book, found), "steps": steps(book, found.steps, [])}


def _telling(book: Book) -> list[State]:
    """Return the states with a name of the builder's, or else the first ones in which something is fed."""
    feeding = [s for s in book.study.states if not s.in_transit and any(s.feeding.values())]
    given = set(book.study.network.description.states)
    named = [state for state in feeding if state.name in given]
    return (named or feeding)[:MOST_STATES]


def _state(book: Book, state: State) -> dict[str, Any]:
    """Return who feeds, where neutral meets earth, and of how many outlets a device aboard can trip."""
    covers = book.study.coverage[state.id]
    islands = [island for island in book.study.islands[state.id] if not island.idle]
    ties = tuple(dict.fromkeys(tie.at for island in islands for tie in island.effective))
    feeding = tuple(source for source, fed in state.feeding.items() if fed)
    return {
        "name": state.name,
        "feeds": names(book, feeding) or Markup("–"),
        "tie": names(book, ties) or Markup("–"),
        "trips": f"{sum(cover.protected for cover in covers)}/{len(covers)}" if covers else "–",
    }


def _devices(book: Book) -> list[dict[str, Any]]:
    """Return each place with the devices in it and what they feed."""
    tree, network = book.procedures.tree, book.study.network
    by_id = {s.device: s for s in (*tree.residual, *tree.breakers)} if tree else {}
    rows: dict[str, list[str]] = {}
    for id_ in in_order(by_id):
        rows.setdefault(found_at(network, network.items[id_]), []).append(id_)
    return [
        {
            "place": place,
            "devices": [{"name": book.item(id_), "feeds": names(book, by_id[id_].feeds)} for id_ in ids],
        }
        for place, ids in rows.items()
    ]
