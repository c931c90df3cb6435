"""Equipment that carries current without protecting anything: switches, inlets, bars, sockets; batteries;
sources.
"""

from collections.abc import Iterator

from asfitted.description.kinds import AcSupply, Battery, InverterCharger, TransferSwitch
from asfitted.network.model import Item
from asfitted.studies.device_checks import load_through_a
from asfitted.studies.protection import Feed, devices_before, foreseeable_a
from asfitted.studies.results import Finding, Grade
from asfitted.studies.scenario import Scenario
from asfitted.studies.trial import Trial

CARRYING = (
    "transfer switch",
    "selector switch",
    "inverter charger",
    "contactor",
    "isolator",
    "RCD",
    "meter",
    "busbar",
    "supply inlet",
)


def equipment_findings(trial: Trial, feeds: tuple[Feed, ...]) -> Iterator[Finding]:
    """Yield what is wrong with switches, inlets, bars and sockets, with batteries and with sources."""
    for item in trial.network.of_kind(*CARRYING):
        yield from _carrying(trial, feeds, item)
    for item in trial.network.of_kind("sockets", "GFCI receptacle"):
        yield from _sockets(trial, feeds, item)
    for scenario in trial.scenarios:
        yield from _sources(trial, scenario)


def _rating_a(item: Item) -> float | None:
    spec = item.spec
    rating = spec.transfer_rating_a if isinstance(spec, InverterCharger) else getattr(spec, "rating_a", None)
    return float(rating) if rating else None


def _carrying(trial: Trial, feeds: tuple[Feed, ...], item: Item) -> Iterator[Finding]:
    if isinstance(item.spec, TransferSwitch) and item.spec.certified_to == "none":
        yield Finding(
            "equipment-uncertified", Grade.INVESTIGATION, (item.id,), item.mark, fields={"equipment": item.id}
        )
    rating = _rating_a(item)
    if rating is None:
        return
    load = load_through_a(trial, item.id)
    if load > rating:
        fields: dict[str, object] = {"equipment": item.id, "rating_a": rating, "current_a": round(load, 1)}
        yield Finding("equipment-overloaded", Grade.POTENTIAL, (item.id,), item.mark, fields=fields)
        return
    let_through = max((_let_through_a(feed, item, rating) for feed in feeds), default=0.0)
    if let_through > rating:
        fields = {"equipment": item.id, "rating_a": rating, "device_a": round(let_through, 1)}
        clause = trial.rules.clause("overload")
        yield Finding(
            "equipment-not-protected", Grade.POTENTIAL, (item.id,), item.mark, fields=fields, clause=clause
        )


def _let_through_a(feed: Feed, item: Item, rating: float) -> float:
    """Return the current that devices let through an item for long while `feed` feeds it; zero if it does
    not.
    """
    reached = [t for t in item.terminals if t in feed.tree.came]
    if isinstance(item.spec, InverterCharger):
        reached = [t for t in reached if ".ac " in t]
    if not reached:
        return 0.0
    entry = min(reached, key=lambda t: len(feed.tree.terminals(t)))
    before = devices_before(feed.tree, entry, feed.source)
    bounds = (feed.limit_a, foreseeable_a(feed, entry)[0], *(d.rating_a for d in before[:1]))
    return min(bounds)


def _sockets(trial: Trial, feeds: tuple[Feed, ...], item: Item) -> Iterator[Finding]:
    rating = _rating_a(item) or 0.0
    for feed in feeds:
        line = next((t for t in item.terminals if t in feed.tree.came and not t.endswith(".N")), None)
        before = devices_before(feed.tree, line, feed.source) if line else ()
        if before and before[0].rating_a > rating and feed.limit_a > rating:
            device = before[0]
            fields: dict[str, object] = {
                "sockets": item.id,
                "rating_a": rating,
                "device": device.id,
                "device_a": device.rating_a,
            }
            clause = trial.rules.clause("overload")
            yield Finding(
                "socket-device-too-large",
                Grade.POTENTIAL,
                (item.id, device.id),
                item.mark,
                fields=fields,
                clause=clause,
            )


def _sources(trial: Trial, scenario: Scenario) -> Iterator[Finding]:
    item = trial.network.items[scenario.source]
    total = scenario.total_a
    fields: dict[str, object] = {
        "source": item.id,
        "current_a": round(total, 1),
        "limit_a": round(scenario.limit_a, 1),
    }
    states = (scenario.state.id,)
    if total > scenario.limit_a:
        codes = {
            "supply": ("demand-exceeds-source", Grade.IMPROVEMENT),
            "discharge": ("battery-overdrawn", Grade.IMPROVEMENT),
            "charge": ("battery-overcharged", Grade.POTENTIAL),
        }
        code, grade = codes[scenario.mode]
        yield Finding(code, grade, (item.id,), item.mark, states, fields)
    if isinstance(item.spec, AcSupply):
        for site, rating in site_ratings(item.spec):
            if min(rating, scenario.limit_a) < total <= scenario.limit_a:
                given = {**fields, "site": site, "limit_a": rating}
                yield Finding("demand-exceeds-site", Grade.IMPROVEMENT, (item.id,), item.mark, states, given)
    if (
        isinstance(item.spec, Battery)
        and scenario.mode == "discharge"
        and item.spec.discharge_limit_a is None
    ):
        yield Finding("battery-limit-unknown", Grade.INVESTIGATION, (item.id,), item.mark, states, fields)


def site_ratings(supply: AcSupply) -> Iterator[tuple[str, float]]:
    """Yield the sites named for a supply that give another current, and that current in A."""
    for site, variant in supply.at.items():
        if variant.rating_a is not None:
            yield site, float(variant.rating_a)
