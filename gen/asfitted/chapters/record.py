"""record.json: everything computed, for other programs. Names carry the unit; the format is versioned."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from asfitted import __version__
from asfitted.chapters.decision_record import decision_dicts
from asfitted.chapters.energy_record import energy_record
from asfitted.chapters.findings import assumption_text
from asfitted.chapters.report import finding_dict
from asfitted.chapters.transfer_record import cut_out_dict, start_dict, transfer_dict
from asfitted.network.direct import DirectState
from asfitted.network.labels import ends, kind_word, rating, where
from asfitted.network.model import Cable, Item
from asfitted.network.states import State
from asfitted.studies.auto_device import UNITS, Choice
from asfitted.studies.bonding import Island
from asfitted.studies.commissioning.commission import Commissioning
from asfitted.studies.commissioning.plan import Column, Test
from asfitted.studies.decisions import DecisionResult
from asfitted.studies.device_faults import DeviceFault
from asfitted.studies.drops import DropResult
from asfitted.studies.faults.result import FaultResult
from asfitted.studies.naming import direct_name
from asfitted.studies.results import Working
from asfitted.studies.study import Study

FORMAT = 1


def record(study: Study, fingerprint: str, decisions: Sequence[DecisionResult] = ()) -> dict[str, Any]:
    """Return the record of a study, and of the options of its decisions if they were studied, as plain data.

    What is private is not in it.
    """
    description = study.network.description
    number, revision = description.revision
    return {
        "format": FORMAT,
        "program": f"asfitted {__version__}",
        "build": {
            "title": description.build.title,
            "reference": description.build.reference,
            "setting": description.build.setting,
            "use": description.build.use,
        },
        "revision": {"number": number, "date": revision.date, "what": revision.what},
        "fingerprint": fingerprint,
        "rules": description.build.rules,
        "assumptions": [
            {"code": a.code, "where": list(a.where), "text": assumption_text(a), "source": a.source}
            for a in (
                *study.sizing.assumptions,
                *study.transfers.assumptions,
                *study.energy.assumptions,
                *study.faults.assumptions,
            )
        ],
        "claims": [
            {"equipment": c.item, "field": c.field, "basis": c.basis or None, "proved": c.proved}
            for c in study.sizing.claims
        ],
        "states": [_state(study, state) for state in study.states],
        "direct_states": [_direct_state(state) for state in study.direct_states],
        "equipment": [_item(item) for item in study.network.items.values()],
        "cables": [_cable(study, cable) for cable in study.network.cables.values()],
        "devices": [asdict(device) for device in study.sizing.devices.values()],
        "device_faults": [_device_fault(fault) for fault in study.sizing.device_faults],
        "choices": [_choice(choice) for choice in study.choices],
        "drops": [_drop(drop) for drop in study.sizing.drops],
        "energy": energy_record(study.energy),
        "transfers": [transfer_dict(transfer) for transfer in study.transfers.transfers],
        "starts": [start_dict(start) for start in study.transfers.starts],
        "cut_outs": [cut_out_dict(each) for each in study.transfers.cut_outs],
        "faults": [_fault(result) for result in study.faults.faults],
        "decisions": decision_dicts(description.decisions, decisions),
        "findings": [finding_dict(finding, study) for finding in study.findings],
        "accepted": [
            finding_dict(finding, study) | {"reason": accepted.reason, "date": accepted.date}
            for finding, accepted in study.accepted
        ],
        "tests": [
            _test(study.commissioning, test, column)
            for test in study.commissioning.plan
            for column in test.columns
        ],
        "workings": [_working(working) for working in study.workings],
    }


def _test(done: Commissioning, test: Test, column: Column) -> dict[str, Any]:
    """Return one test in one state with every reading, the earliest first; values in base units."""
    expected = column.expected
    readings = done.judgement.readings.get((test.id, column.state), ())
    return {
        "id": test.id,
        "test": test.code,
        "state": column.state or None,
        "at": test.at or None,
        "not_applicable": column.not_applicable or None,
        "unit": {"ohm": "ohm", "Mohm": "ohm", "ms": "s", "mA": "A"}.get(expected.unit, expected.unit)
        if expected
        else None,
        "expected": _known(expected.value) if expected else None,
        "low": _known(expected.low) if expected else None,
        "high": _known(expected.high) if expected else None,
        "result": [
            {
                "date": judged.session.date,
                "reading": judged.reading.text,
                "value": _known(judged.value),
                "at_20c": _known(judged.corrected),
                "verdict": judged.verdict,
            }
            for judged in readings
        ],
    }


def _known(value: float | None) -> float | None:
    return None if value is None else _rounded(value)


def _state(study: Study, state: State) -> dict[str, Any]:
    network = study.network
    return {
        "id": state.id,
        "name": state.name,
        "supplies": [{"id": id_, "condition": condition} for id_, condition in state.conditions],
        "positions": dict(state.positions),
        "live": sorted(state.energised),
        "feeds": {source: list(consumers) for source, consumers in state.feeding.items()},
        "bonds": [bond for island in study.islands[state.id] for bond in _bonds(island)],
        "residual_protection": [
            {
                "outlet": c.outlet,
                "source": c.source,
                "aboard": list(c.aboard),
                "at_site": c.at_site,
                "can_trip": c.can_trip,
            }
            for c in study.coverage[state.id]
            if c.outlet in network.items
        ],
    }


def _direct_state(state: DirectState) -> dict[str, Any]:
    return {
        "id": state.id,
        "name": direct_name(state),
        "conditions": [{"id": id_, "condition": condition} for id_, condition in state.conditions],
        "gives": sorted(state.sources),
        "live": sorted(state.energised),
    }


def _bonds(island: Island) -> list[dict[str, Any]]:
    return [
        {
            "island": list(island.sources),
            "measure": island.measure,
            "at": tie.at,
            "earth": tie.earth,
            "effective": tie.effective,
            "source_side_of": list(tie.source_side_of),
            "load_side_of": list(tie.load_side_of),
        }
        for tie in island.ties
    ]


def _item(item: Item) -> dict[str, Any]:
    return {
        "id": item.id,
        "kind": item.kind,
        "description": kind_word(item),
        "rating": rating(item.spec),
        "board": item.board,
        "place": where(item),
        "status": item.spec.status,
    }


def _cable(study: Study, cable: Cable) -> dict[str, Any]:
    """Return the row of a cable; one that carries no load current has no results."""
    result = study.sizing.cables.get(cable.id)
    size = result.size if result else cable.size
    first, last = ends(study.network, cable)
    return {
        "id": cable.id,
        "from": first,
        "to": last,
        "cores": {core.conductor: [core.a, core.b] for core in cable.cores},
        "size_mm2": round(size.mm2, 4) if size else None,
        "size_awg": size.designation.removesuffix(" AWG") if size and size.awg else None,
        "automatic": cable.automatic,
        "length_m": cable.length_m,
        "insulation": cable.insulation,
        "method": cable.method,
        "status": cable.status,
        "design_current_a": result.design_current_a if result else None,
        "capacity_a": result.capacity_a if result else None,
        "device": result.device if result else None,
        "device_rating_a": result.device_rating_a if result else None,
        "voltage_drop_v": result.voltage_drop_v if result else None,
        "voltage_drop_percent": result.voltage_drop_percent if result else None,
        "governed_by": result.governed_by if result else None,
        "state": result.state if result else None,
    }


def _device_fault(fault: DeviceFault) -> dict[str, Any]:
    loop, direct = fault.loop, fault.direct
    time_s = loop.time_s if loop else direct.time_s if direct else None
    return {
        "device": fault.device,
        "source": fault.source,
        "greatest_a": fault.greatest_a,
        "least_a": loop.least_a if loop else direct.least_a if direct else None,
        "at": loop.outlet if loop else direct.at if direct else None,
        "site": loop.site or None if loop else None,
        "loop_ohm": loop.loop_ohm if loop else None,
        "time_s": _rounded(time_s) if time_s is not None else None,
        "demanded_s": loop.demanded.value if loop and loop.demanded else None,
        "outcome": loop.outcome if loop else None,
    }


def _choice(choice: Choice) -> dict[str, Any]:
    return {
        "device": choice.device,
        "field": choice.field,
        "value": choice.value,
        "unit": UNITS.get(choice.field),
        "governed_by": choice.governed_by,
        "needs": {check: _rounded(value) for check, value in choice.needs.items()},
        "by_current": choice.by_current,
    }


def _drop(drop: DropResult) -> dict[str, Any]:
    return {
        "source": drop.source,
        "consumer": drop.item,
        "mode": drop.mode,
        "state": drop.state,
        "drop_v": drop.drop_v,
        "drop_percent": drop.drop_percent,
        "limit_percent": drop.limit.value,
        "clause": drop.limit.source,
        "cables": [{"id": cable, "drop_v": volts} for cable, volts in drop.cables],
    }


def _fault(r: FaultResult) -> dict[str, Any]:
    """Return one result of the fault study; a time without end is null."""
    return {
        "state": r.state or None,
        "direct_state": r.direct_state or None,
        "site": r.site or None,
        "kind": r.kind,
        "at": r.at,
        "where": list(r.where),
        "bound": r.bound,
        "outcome": r.outcome,
        "verdict": r.verdict,
        "second_failure": r.second,
        "surely_first": r.surely_first,
        "may_also_open": list(r.may_also_open),
        "opened": [{"device": o.unit, "time_s": _rounded(o.time_s), "moves": o.moves} for o in r.opened],
        "restarts": r.restarts,
        "hunts": r.hunts,
        "current_a": _rounded(r.current_a),
        "residual_a": {device: _rounded(amperes) for device, amperes in r.residual_a.items()},
        "touch": [
            {
                "from": t.from_,
                "to": t.to,
                "person": t.person,
                "before_v": _rounded(t.before_v),
                "after_v": _rounded(t.after_v),
                "across_v": _rounded(t.across_v),
                "body_a": _rounded(t.current_ma / 1000),
                "typical_body_a": _rounded(t.typical_ma / 1000),
                "time_s": _rounded(t.time_s),
                "zone": t.zone,
            }
            for t in r.touch
        ],
        "touch_time_s": _rounded(r.touch_time_s),
        "limit_s": r.limit_s,
        "limit_clause": r.limit_source or None,
        "into_water_a": _rounded(r.into_water_a),
        "dc_in_protective_a": _rounded(r.dc_in_protective_a),
        "overloaded": [
            {"core": o.core, "current_a": _rounded(o.current_a), "capacity_a": _rounded(o.capacity_a)}
            for o in r.overloaded
        ],
        "destroyed": list(r.destroyed),
        "still_live": list(r.still_live),
        "settled": r.settled,
        "chain": [{"code": reason.code, **_plain(reason.fields)} for reason in r.chain],
    }


def _plain(fields: Mapping[str, object]) -> dict[str, object]:
    return {name: _rounded(v) if isinstance(v, float) else v for name, v in fields.items()}


def _rounded(value: float) -> float | None:
    """Return a value with six significant figures, more would differ from machine to machine; null if endless."""
    return float(f"{value:.6g}") if math.isfinite(value) else None


def _working(working: Working) -> dict[str, Any]:
    return {"id": working.id, **asdict(working)}
