"""The transfer study in record.json."""

from typing import Any

from asfitted.studies.transfer.brownout import Brownout
from asfitted.studies.transfer.cut_outs import CutOuts
from asfitted.studies.transfer.dc_side import InverterStart
from asfitted.studies.transfer.study import Transfer
from asfitted.studies.transfer.takeover import Takeover
from asfitted.studies.transfer.ways import Way


def transfer_dict(found: Transfer) -> dict[str, Any]:
    """Return one changeover."""
    changeover = found.changeover
    return {
        "changeover": changeover.item.id,
        "preferred": changeover.preferred,
        "ways": [_way(way) | {"sources": list(changeover.feeding(way.to))} for way in changeover.ways],
        "loads": [
            {
                "outlet": ride.outlet,
                "load": ride.name,
                "to": ride.to,
                "fate": ride.fate,
                "rides_s": ride.rides_s,
                "source": ride.source or None,
            }
            for ride in found.rides
        ],
        "takeovers": [_takeover(takeover) for takeover in found.takeovers],
        "brownouts": [_brownout(brownout) for brownout in found.brownouts],
        "chargers": [
            {"charger": c.charger, "lost": c.lost, "goes_on_from": c.then or None} for c in found.chargers
        ],
    }


def _way(way: Way) -> dict[str, Any]:
    return {
        "to": way.to,
        "said": [{"time_s": claim.value, "basis": claim.basis} for claim in way.claims],
        "judged_s": way.judged_s,
        "basis": way.basis or None,
        "proved": way.proved,
    }


def _takeover(found: Takeover) -> dict[str, Any]:
    return {
        "lost": found.lost,
        "taken": found.taken,
        "load_a": found.lasting_a,
        "peak_a": found.peak_a,
        "carries_a": found.able.lasting_a,
        "outcome": found.outcome,
        "too_much": [load.name for load in found.too_much],
        "restore": [
            {
                "outlet": step.behind.outlet,
                "load": step.behind.name,
                "wait_s": step.wait_s,
                "total_a": step.total_a,
                "fits": step.fits,
            }
            for step in found.steps
        ],
    }


def _brownout(found: Brownout) -> dict[str, Any]:
    return {
        "supply": found.site.supply,
        "site": found.site.name or None,
        "state": found.state,
        "supply_v": found.supply_v,
        "loaded_v": found.loaded_v,
        "free_v": found.free_v,
        "drops_out_v": found.drops_out.value,
        "picks_up_v": found.picks_up.value,
        "described": found.described,
        "behaviour": found.behaviour,
        "cycle_s": found.cycle_s,
    }


def start_dict(found: InverterStart) -> dict[str, Any]:
    """Return the start of one motor on an inverter."""
    return {
        "inverter": found.inverter,
        "battery": found.battery,
        "outlet": found.start.behind.outlet,
        "load": found.start.behind.name,
        "starting_a": abs(found.start.starting_a),
        "duration_s": found.start.duration_s,
        "total_a": found.total_a,
        "power_w": found.power_w,
        "outcome": found.outcome,
        "cut_out_v": found.cut_out_v,
        "bounds": [
            {"battery_is": b.age, "emf_v": b.emf_v, "current_a": b.current_a, "voltage_v": b.voltage_v}
            for b in found.bounds
        ],
    }


def cut_out_dict(found: CutOuts) -> dict[str, Any]:
    """Return the order in which an inverter and the protection of its battery let go."""
    return {
        "inverter": found.inverter,
        "battery": found.battery,
        "inverter_below_v": found.inverter_v,
        "protection_below_v": found.protection_v,
        "protection_above_a": found.protection_a,
        "inverter_most_a": found.surge_a,
        "inverter_most_s": found.surge_s,
        "battery_allows": found.allowed,
        "order": found.order,
        "goes_dark": list(found.dark),
        "loses_battery": list(found.bereft),
    }
