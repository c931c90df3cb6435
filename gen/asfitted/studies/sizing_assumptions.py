"""What the sizing took because nobody gave it: insulation, way of laying, class of conductor."""

from collections.abc import Iterable, Iterator

from asfitted.network.build import ASSUMED_INSULATION, ASSUMED_METHOD
from asfitted.network.model import Network
from asfitted.studies.results import Assumption


def defaults_taken(network: Network) -> Iterator[Assumption]:
    """Yield one assumption for each field that was left open, with all the cables or devices concerned."""
    described = network.description.cables
    for code, field, value in (
        ("cable-insulation", "insulation", ASSUMED_INSULATION),
        ("cable-method", "method", ASSUMED_METHOD),
        ("conductor-class", "conductor_class", ""),
    ):
        where = tuple(id_ for id_, cable in described.items() if getattr(cable, field) is None)
        if where:
            yield Assumption(code, where, {"value": value})


def merged(assumptions: Iterable[Assumption]) -> tuple[Assumption, ...]:
    """Return assumptions that say the same of several things as one, in the order of first appearance."""
    found: dict[tuple[str, str, str], Assumption] = {}
    for a in assumptions:
        key = (a.code, repr(sorted(a.fields.items())), a.source)
        where = (*found[key].where, *a.where) if key in found else a.where
        found[key] = Assumption(a.code, tuple(dict.fromkeys(where)), a.fields, a.source)
    return tuple(found.values())
