"""What both voltmeters read when something is wrong with an outlet, or when a link from neutral to earth is missing."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from asfitted.network.sites import Site
from asfitted.network.states import State
from asfitted.studies.commissioning.meters import LOW_IMPEDANCE, VOLTMETER, Instruments, usual_sites
from asfitted.studies.commissioning.plan import Subject
from asfitted.tables.circuit_defaults import Bound


@dataclass(frozen=True)
class Signature:
    """Readings in V of each pair of conductors (line–neutral, line–earth, neutral–earth) with either meter;
    `condition` is a key of the `conditions` words.
    """

    at: str
    state: str
    condition: str
    voltmeter_v: tuple[float, ...]
    loaded_v: tuple[float, ...]


def signatures(subject: Subject) -> tuple[Signature, ...]:
    """Return the readings at each inlet for every kind of outlet, and at a socket-outlet with its link missing."""
    return (*_of_supplies(subject), *_of_links(subject))


def _of_supplies(subject: Subject) -> Iterator[Signature]:
    on_tyres = subject.network.description.build.setting in ("road vehicle", "trailer")
    for site in usual_sites(subject.network):
        state = next((s for s in subject.live if s.condition(site.supply) == "live"), None)
        inlet = next(iter(subject.inlets[site.supply]), None)
        if state is None or inlet is None or f"{inlet}.pins.L" not in subject.network.items[inlet].terminals:
            continue
        kinds: dict[str, Site] = {
            "sound": site,
            "reversed": replace(site, reversed_=True),
            **({"no earth, dry": replace(site, earthed=False)} if on_tyres else {}),
            "no earth, wet": replace(site, earthed=False),
            "line to line": replace(site, line_to_line=True),
            "isolated": replace(site, spec=site.spec.model_copy(update={"earthing": "IT"})),
        }
        for condition, kind in kinds.items():
            others = tuple(kind if s.supply == site.supply else s for s in usual_sites(subject.network))
            ground: Bound = "least" if condition == "no earth, dry" else "greatest"
            instruments = Instruments(subject.network, subject.sizing.sizes, others, ground)
            yield _read(instruments, state, inlet, "pins.", condition)


def _of_links(subject: Subject) -> Iterator[Signature]:
    for bond in subject.network.bonds:
        branch = f"{bond.equipment}#bond"
        if branch not in subject.instruments.circuit.circuit.index:
            continue
        for state in subject.live:
            outlet = next(
                (
                    o
                    for o in subject.outlets
                    if (c := subject.covers(o).get(state.id)) and c.source == bond.equipment
                ),
                None,
            )
            if outlet is not None and f"{outlet}.L" in subject.network.items[outlet].terminals:
                yield _read(subject.instruments, state, outlet, "", "link made")
                yield _read(subject.instruments, state, outlet, "", "link missing", (branch,))
                break


def _read(
    instruments: Instruments, state: State, at: str, port: str, condition: str, broken: tuple[str, ...] = ()
) -> Signature:
    pairs = [(f"{at}.{port}{a}", f"{at}.{port}{b}") for a, b in (("L", "N"), ("L", "PE"), ("N", "PE"))]
    return Signature(
        at,
        state.id,
        condition,
        instruments.volts(state, pairs, VOLTMETER, broken),
        instruments.volts(state, pairs, LOW_IMPEDANCE, broken),
    )
