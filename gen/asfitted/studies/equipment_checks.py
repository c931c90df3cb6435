"""Equipment that carries current without protecting anything: switches, inlets, bars, sockets; batteries;
sources.
"""

from collections.abc import Iterator

from asfitted import words
from asfitted.description.kinds import AcSupply, Battery, InverterCharger, TransferSwitch
from asfitted.network.model import Item
from asfitted.studies.load_through import load_through_a
from asfitted.studies.protection import Device, Feed, devices_before, foreseeable_a
from asfitted.studies.results import Finding, Grade
from asfitted.studies.scenario import Scenario
from asfitted.studies.trial import AWG, Trial
from asfitted.tables.rules.rule_set import Laid

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
    "adaptor",
    "dc inlet",
)


#: NFPA 70-2017 551.20, 551.30, 551.32, 551.33: listed for the purpose
TO_BE_LISTED = ("transfer switch", "inverter", "inverter charger", "battery charger", "generator")


def equipment_findings(trial: Trial, feeds: tuple[Feed, ...]) -> Iterator[Finding]:
    """Yield what is wrong with switches, inlets, bars and sockets, with batteries and with sources."""
    for item in trial.network.items.values():
        yield from _certified(trial, item)
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
    rating = _rating_a(item)
    if rating is None:
        return
    load = load_through_a(trial, item.id)
    if load > rating:
        fields: dict[str, object] = {"equipment": item.id, "rating_a": rating, "current_a": round(load, 1)}
        yield Finding("equipment-overloaded", Grade.POTENTIAL, (item.id,), item.mark, fields=fields)
        return
    let_through = max((let_through_a(feed, item) for feed in feeds), default=0.0)
    if let_through > rating:
        fields = {"equipment": item.id, "rating_a": rating, "device_a": round(let_through, 1)}
        clause = trial.rules.clause("overload")
        yield Finding(
            "equipment-not-protected", Grade.POTENTIAL, (item.id,), item.mark, fields=fields, clause=clause
        )


def _certified(trial: Trial, item: Item) -> Iterator[Finding]:
    """Yield what follows from equipment certified to nothing: refused where listing is demanded, else tests
    stand in.
    """
    fields: dict[str, object] = {"equipment": item.id}
    if item.spec.certified_to == "none" and trial.rules.listing_demanded:
        clause = trial.rules.clause("listing")
        yield Finding(
            "equipment-not-listed", Grade.POTENTIAL, (item.id,), item.mark, fields=fields, clause=clause
        )
    elif item.spec.certified_to == "none":
        switch = isinstance(item.spec, TransferSwitch)
        code = "equipment-uncertified" if switch else "other-uncertified"
        yield Finding(code, Grade.INVESTIGATION, (item.id,), item.mark, fields=fields)
    elif item.spec.certified_to is None and trial.rules.listing_demanded and item.kind in TO_BE_LISTED:
        clause = trial.rules.clause("listing")
        yield Finding(
            "listing-not-stated", Grade.INVESTIGATION, (item.id,), item.mark, fields=fields, clause=clause
        )


def let_through_a(feed: Feed, item: Item) -> float:
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
        if before and trial.rules.receptacles_a:
            yield from _receptacles(trial, item, before[0])
        elif before and before[0].rating_a > rating and feed.limit_a > rating:
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


def _receptacles(trial: Trial, item: Item, device: Device) -> Iterator[Finding]:
    """Yield the finding of receptacles on a branch circuit whose rating is not one that the table allows
    them.
    """
    rating, allowed = _rating_a(item) or 0.0, trial.rules.receptacles_a
    assert allowed is not None  # noqa: S101  (asked for only where the rules have a table)
    if receptacle_fits(trial, item, device.rating_a):
        return
    fitting = [d for d in trial.rules.standard_ratings_a("breaker") if rating in allowed(d)]
    fields: dict[str, object] = {
        "sockets": item.id,
        "rating_a": rating,
        "device": device.id,
        "device_a": device.rating_a,
        "fitting_device_a": " or ".join(f"{d:g}" for d in fitting) or "–",
        "feeder_size": feeder_size(trial, device.rating_a),
        "continuous_a": round(0.8 * max(fitting, default=0.0), 1),
        "branch_size": feeder_size(trial, max(fitting, default=0.0)),
    }
    fields["cure"] = words.text("report", "branch devices" if fitting else "other receptacles", **fields)
    where, clause = (item.id, device.id), trial.rules.clause("receptacles")
    yield Finding("receptacle-device", Grade.POTENTIAL, where, item.mark, fields=fields, clause=clause)


def receptacle_fits(trial: Trial, item: Item, device_a: float) -> bool:
    """Tell whether a branch circuit of a rating may feed receptacles of theirs; always where no table says."""
    if trial.rules.receptacles_a is None:
        return True
    rating = _rating_a(item) or 0.0
    alone = max((n for c, n in trial.receptacles.items() if _ends_at(trial, c, item)), default=1) == 1
    return rating in trial.rules.receptacles_a(device_a) or (alone and rating >= device_a)


def _ends_at(trial: Trial, cable: str, item: Item) -> bool:
    cores = trial.network.cables[cable].live
    return any(trial.network.owner[end] == item.id for core in cores for end in (core.a, core.b))


def feeder_size(trial: Trial, rating_a: float) -> str:
    """Return the size that a device of a rating asks for in ordinary surroundings (30 °C, 60 °C
    terminals).
    """
    for size in AWG:
        placed = Laid(size, "XLPE", 90, "clipped", False, 2, 1, 30)
        top = trial.rules.ceiling(placed)
        if top and trial.rules.permitted(placed, top.look().value, 2).rating_a >= rating_a:
            return size.designation
    return "–"


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
