"""What is wrong with a transfer, a start or an order of cut-outs."""

from collections.abc import Iterator

from asfitted.network.model import Network
from asfitted.studies.importance import must_go_on
from asfitted.studies.results import Finding, Grade
from asfitted.studies.transfer.abilities import Outcome
from asfitted.studies.transfer.brownout import Brownout
from asfitted.studies.transfer.changeovers import Behind, Changeover
from asfitted.studies.transfer.cut_outs import CutOuts
from asfitted.studies.transfer.dc_side import InverterStart
from asfitted.studies.transfer.dips import Dip
from asfitted.studies.transfer.ride import Ride
from asfitted.studies.transfer.takeover import Takeover
from asfitted.studies.transfer.ways import SIDES

#: a changeover that comes back sooner strikes its arc again before the last one has cooled (assumed)
LEAST_DELAY_S = 1.0
_OVERLOADS: dict[Outcome, tuple[str, Grade]] = {
    "for a time": ("transfer-overload-in-time", Grade.IMPROVEMENT),
    "trips": ("transfer-overload-trips", Grade.IMPROVEMENT),
    "restarts": ("transfer-overload-restarts", Grade.POTENTIAL),
    "sags": ("transfer-overload-sags", Grade.IMPROVEMENT),
    "starts not": ("transfer-start-fails", Grade.IMPROVEMENT),
    "not known": ("transfer-overload-unknown", Grade.INVESTIGATION),
}


def changeover_findings(network: Network, found: Changeover, rides: tuple[Ride, ...]) -> Iterator[Finding]:
    """Yield times that nobody gives, compressors that start against pressure."""
    item = found.item
    for side in SIDES:
        if found.to(side).judged_s is None and found.loads and found.crossings:
            fields: dict[str, object] = {"switch": item.id, "side": side}
            yield Finding("transfer-time-unknown", Grade.INVESTIGATION, (item.id,), item.mark, fields=fields)
    for ride in rides:
        if ride.fate == "against pressure":
            mark = network.items[ride.outlet].mark
            given: dict[str, object] = {"load": ride.name, "switch": item.id}
            yield Finding("compressor-no-delay", Grade.IMPROVEMENT, (ride.outlet,), mark, fields=given)


def takeover_findings(network: Network, found: Takeover, working: str) -> Iterator[Finding]:
    """Yield the load that is too much for the source that takes over."""
    if found.outcome == "carries":
        return
    code, grade = _OVERLOADS[found.outcome]
    item, able = network.items[found.switch], found.able
    fields: dict[str, object] = {
        "lost": found.lost,
        "taken": found.taken,
        "load_w": round(found.lasting_a * able.voltage_v),
        "carries_w": round(able.lasting_a * able.voltage_v),
        "current_a": round(found.lasting_a, 1),
        "peak_a": round(found.peak_a, 1),
        "carries_a": round(able.lasting_a, 1),
        "most_a": round(able.most_a or able.lasting_a, 1),
        "surge_s": able.surge_s or 0.0,
        "loads": _names(found.too_much),
    }
    where = (found.switch, found.taken)
    yield Finding(code, grade, where, item.mark, (), fields, "", working)


def _names(loads: tuple[Behind, ...]) -> str:
    return " + ".join(load.name for load in loads)


def brownout_findings(network: Network, found: Brownout, working: str) -> Iterator[Finding]:
    """Yield a changeover that its own load lets go."""
    if found.behaviour == "holds":
        return
    item = network.items[found.switch]
    fields: dict[str, object] = {
        "switch": found.switch,
        "supply": ", ".join(part for part in (found.site.supply, found.site.name) if part),
        "supply_v": round(found.supply_v),
        "loaded_v": round(found.loaded_v),
        "free_v": round(found.free_v),
        "drops_out_v": round(found.drops_out.value),
        "picks_up_v": round(found.picks_up.value),
    }
    where = (found.switch, found.site.supply)
    if not found.described:
        code, grade = "changeover-may-chatter", Grade.INVESTIGATION
    elif found.behaviour == "leaves":
        code, grade = "changeover-leaves-supply", Grade.IMPROVEMENT
    else:
        quick = (found.delay_s or 0.0) < LEAST_DELAY_S
        code, grade = "changeover-chatters", Grade.POTENTIAL if quick else Grade.IMPROVEMENT
    yield Finding(code, grade, where, item.mark, (found.state,), fields, "", working)


def start_findings(network: Network, found: InverterStart, workings: tuple[str, ...]) -> Iterator[Finding]:
    """Yield a motor that the inverter cannot start, or whose start makes it cut out."""
    item, behind = network.items[found.inverter], found.start.behind
    where = (found.inverter, behind.outlet)
    fields: dict[str, object] = {
        "inverter": found.inverter,
        "battery": found.battery,
        "load": behind.name,
        "start_a": round(abs(found.start.starting_a), 1),
        "duration_s": found.start.duration_s,
        "total_a": round(found.total_a, 1),
        "most_a": round(found.able.most_a or 0.0, 1),
        "voltage_v": round(found.lowest_v or 0.0, 1),
        "cut_out_v": found.cut_out_v or 0.0,
        "dc_a": round(max((bound.current_a for bound in found.bounds), default=0.0)),
    }
    working = workings[0] if workings else ""
    if found.outcome not in ("carries", "not known"):
        yield Finding("start-trips-inverter", Grade.IMPROVEMENT, where, item.mark, (), fields, "", working)
    if found.cuts_out:
        yield Finding("start-below-cut-out", Grade.IMPROVEMENT, where, item.mark, (), fields, "", working)


def dip_findings(network: Network, found: Dip, working: str) -> Iterator[Finding]:
    """Yield a start that everybody beside it sees."""
    if found.holds:
        return
    behind = found.start.behind
    fields: dict[str, object] = {
        "load": behind.name,
        "supply": ", ".join(part for part in (found.site.supply, found.site.name) if part),
        "seen_at": found.seen_at,
        "change_a": round(found.change_a, 1),
        "dip_v": round(found.dip_v, 1),
        "dip_percent": round(found.dip_percent, 1),
        "limit_percent": found.limit.value,
    }
    where = (behind.outlet, found.site.supply)
    mark = network.items[behind.outlet].mark
    yield Finding(
        "start-dip", Grade.IMPROVEMENT, where, mark, (found.state,), fields, found.limit.source, working
    )


def cut_out_findings(network: Network, found: CutOuts) -> Iterator[Finding]:
    """Yield an order in which the battery's own protection opens before the inverter."""
    item = network.items[found.battery]
    fields: dict[str, object] = {
        "inverter": found.inverter,
        "battery": found.battery,
        "cut_out_v": found.inverter_v or 0.0,
        "protection_v": found.protection_v or 0.0,
        "protection_a": found.protection_a or 0.0,
        "surge_a": round(found.surge_a),
        "surge_s": found.surge_s,
        "limit_a": found.limit_a or 0.0,
        "deep_v": round(found.deep_v or 0.0, 1),
        "dark": ", ".join(network.items[id_].name for id_ in found.dark),
    }
    where = (found.battery, found.inverter)
    # by voltage or by current: what must never stop, alarms above all, goes dark together with the kettle
    vital = any(_never_stops(network, id_) for id_ in found.dark)
    grade = Grade.POTENTIAL if vital else Grade.IMPROVEMENT
    if found.order == "reversed":
        yield Finding("cut-outs-reversed", grade, where, item.mark, fields=fields)
    elif found.order == "overtaken":
        yield Finding("battery-opens-at-surge", grade, where, item.mark, fields=fields)
    elif found.order == "not known":
        yield Finding("cut-outs-unknown", Grade.INVESTIGATION, where, item.mark, fields=fields)
    if found.order != "overtaken":
        if found.allowed == "beyond":
            yield Finding("surge-beyond-battery", Grade.IMPROVEMENT, where, item.mark, fields=fields)
        elif found.allowed == "not said":
            yield Finding("battery-surge-unknown", Grade.INVESTIGATION, where, item.mark, fields=fields)
    if found.overdraws:
        yield Finding("battery-deep-discharge", Grade.IMPROVEMENT, where, item.mark, fields=fields)


def _never_stops(network: Network, id_: str) -> bool:
    loads = getattr(network.items[id_].spec, "loads", {})
    return any(must_go_on(load) for load in loads.values())
