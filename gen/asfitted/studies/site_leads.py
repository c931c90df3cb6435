"""The lead to a site: what is rated below that which a site can give and the build can ask for.

The usual site is checked with all other cables; here are the sites named for a supply, where another device
protects the outlet.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from asfitted.description.kinds import AcSupply, Breaker, SiteVariant
from asfitted.network.model import Cable, Core, Item
from asfitted.studies.feeding import Element
from asfitted.studies.loops import C_MIN
from asfitted.studies.protection import Feed, foreseeable_a
from asfitted.studies.results import Finding, Grade, Working
from asfitted.studies.short_circuit import Currents, cleared
from asfitted.studies.trial import Trial
from asfitted.tables.rules.rule_set import SILENT

COUPLED = ("adaptor", "supply inlet")
#: NFPA 70-2017 551.45(C): more branch circuits than this want a main device
MOST_WITHOUT_MAIN = 2


@dataclass(frozen=True)
class Lead:
    """What leads from a supply to the first device aboard: its cables, and what it is coupled with; `asked_a`
    is the most that the build can ask of it for long.
    """

    supply: Item
    cables: tuple[Cable, ...]
    coupled: tuple[Item, ...]
    asked_a: float


def site_leads(trial: Trial, feeds: tuple[Feed, ...]) -> Iterator[Working | Finding]:
    """Yield what a stronger site overloads, and main devices above the inlet that they hang on."""
    inlets = trial.network.inlets_of
    for feed in feeds:
        supply = trial.network.items[feed.source]
        if not isinstance(supply.spec, AcSupply) or not inlets[supply.id]:
            continue
        lead = _lead(trial, feed, supply)
        for name, site in supply.spec.at.items():
            yield from _overloaded(trial, lead, name, site)
            yield from _outlet(trial, lead, name, site)
            yield from _shorted(trial, lead, name, site)
        for inlet in inlets[supply.id]:
            yield from _main(trial, feed, trial.network.items[inlet])


def _lead(trial: Trial, feed: Feed, supply: Item) -> Lead:
    """Return the lead of a supply: everything that it reaches without passing an overcurrent device."""
    open_ = feed.tree.unprotected_terminals(feed.tree.root)
    elements: dict[Element, None] = {}
    for terminal in open_:
        elements.update(dict.fromkeys(feed.tree.way(terminal)))
    cables = dict.fromkeys(e.cable for e in elements if isinstance(e, Core))
    owners = dict.fromkeys(trial.network.owner[terminal] for terminal in open_)
    coupled = [item for id_ in owners if (item := trial.network.items[id_]).kind in COUPLED]
    return Lead(
        supply,
        tuple(trial.network.cables[id_] for id_ in cables),
        tuple(coupled),
        foreseeable_a(feed, feed.tree.root)[0],
    )


def _overloaded(trial: Trial, lead: Lead, name: str, site: SiteVariant) -> Iterator[Finding]:
    spec = lead.supply.spec
    assert isinstance(spec, AcSupply)  # noqa: S101  (a lead belongs to a supply)
    device_a = float((site.upstream or spec.upstream).rating_a)
    good_for = {item.id: (float(item.spec.rating_a), item.mark) for item in lead.coupled}  # type: ignore[attr-defined]
    good_for |= {cable.id: (trial.capacity_a(cable.id), cable.mark) for cable in lead.cables}
    for thing, (rating_a, mark) in good_for.items():
        if min(device_a, lead.asked_a) <= rating_a or device_a <= spec.upstream.rating_a:
            continue
        fields: dict[str, object] = {
            "thing": thing,
            "site": name,
            "device_a": device_a,
            "foreseeable_a": round(min(lead.asked_a, 1e4), 1),
            "rating_a": round(rating_a, 1),
        }
        where, clause = (thing, lead.supply.id), trial.rules.clause("overload")
        yield Finding("site-above-lead", Grade.POTENTIAL, where, mark, (), fields, clause)


def _outlet(trial: Trial, lead: Lead, name: str, site: SiteVariant) -> Iterator[Finding]:
    """Yield a site whose outlet bears less than its own device and those aboard together let through; where
    the loads as described exceed it already, that is said elsewhere.
    """
    spec = lead.supply.spec
    assert isinstance(spec, AcSupply)  # noqa: S101  (a lead belongs to a supply)
    let_through_a = min(float((site.upstream or spec.upstream).rating_a), lead.asked_a)
    loads_a = max((s.total_a for s in trial.scenarios if s.source == lead.supply.id), default=0.0)
    if site.rating_a is None or let_through_a <= site.rating_a or loads_a > site.rating_a:
        return
    fields: dict[str, object] = {
        "site": name,
        "rating_a": float(site.rating_a),
        "device_a": round(let_through_a, 1),
    }
    where, mark = (lead.supply.id,), lead.supply.mark
    yield Finding(
        "outlet-below-demand", Grade.IMPROVEMENT, where, mark, (), fields, trial.rules.clause("overload")
    )


def _shorted(trial: Trial, lead: Lead, name: str, site: SiteVariant) -> Iterator[Working | Finding]:
    """Yield whether the device of a stronger site clears a short-circuit at the end of a lead in time."""
    spec = lead.supply.spec
    assert isinstance(spec, AcSupply)  # noqa: S101  (a lead belongs to a supply)
    upstream = site.upstream or spec.upstream
    loop_ohm = site.loop_impedance_max_ohm or spec.loop_impedance_max_ohm
    greatest = site.fault_current_max_a or spec.fault_current_max_a
    device = Breaker.model_construct(kind="breaker", curve=upstream.curve, rating_a=upstream.rating_a)
    way_ohm = 0j
    for cable in lead.cables:
        way_ohm += 2 * trial.impedance(cable.live[0], True)
        if upstream.rating_a <= max(trial.permitted(cable.id).rating_a, spec.upstream.rating_a):
            continue
        least = C_MIN * spec.voltage_v / abs(loop_ohm + way_ohm) if loop_ohm else None
        fields: dict[str, object] = {
            "cable": cable.id,
            "size": trial.sizes[cable.id].designation,
            "device": name,
            "rating_a": float(upstream.rating_a),
            "source": lead.supply.id,
            "length_m": round(cable.length_m, 2),
            "allowed_m": trial.rules.unprotected_m("ac", enclosed=False).value,
        }
        currents = Currents(least, float(greatest) if greatest else None)
        workings, found = cleared(trial, cable, device, currents, fields)
        yield from workings
        yield from found


def _main(trial: Trial, feed: Feed, inlet: Item) -> Iterator[Finding]:
    """Yield a main device of more than two circuits that is rated above its inlet, where the rules bound it."""
    clause = trial.rules.clause("main device")
    pins = next((t for t in inlet.terminals if ".pins.L" in t and t in feed.tree.came), None)
    if clause == SILENT or pins is None:
        return
    rating_a = float(inlet.spec.rating_a)  # type: ignore[attr-defined]
    for id_ in feed.tree.first_devices(pins):
        item = trial.network.items[id_]
        device_a = float(getattr(item.spec, "rating_a", 0.0))
        behind = [d for t in item.terminals if t in feed.tree.came for d in feed.tree.first_devices(t)]
        if len({d for d in behind if d != id_}) > MOST_WITHOUT_MAIN and device_a > rating_a:
            fields: dict[str, object] = {
                "device": id_,
                "device_a": device_a,
                "inlet": inlet.id,
                "rating_a": rating_a,
            }
            yield Finding("main-above-inlet", Grade.POTENTIAL, (id_, inlet.id), item.mark, (), fields, clause)
