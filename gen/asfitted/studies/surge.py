"""The surge of an inverter: what it takes from the battery for seconds, and whether its voltage
holds meanwhile.
"""

import math
from collections.abc import Iterator

from asfitted.description.kinds import Battery, Fuse, Inverter
from asfitted.network.flow import Injection, solve
from asfitted.network.model import Contact, Core, Item
from asfitted.studies.loads import ASSUMED_INVERTER_EFFICIENCY
from asfitted.studies.protection import device_name
from asfitted.studies.results import Finding, Grade, Input, Limit, Working
from asfitted.studies.scenario import Scenario
from asfitted.studies.trial import Trial
from asfitted.tables.devices import trip_times_s


def surges(trial: Trial) -> Iterator[tuple[tuple[Working, ...], tuple[Finding, ...]]]:
    """Yield the surge of each inverter from each battery that feeds it, with workings and findings."""
    seen: set[tuple[str, str]] = set()
    for scenario in trial.scenarios:
        if scenario.mode != "discharge":
            continue
        for injection in scenario.injections:
            item = trial.network.items[injection.item]
            if isinstance(item.spec, Inverter) and item.spec.surge and (scenario.source, item.id) not in seen:
                seen.add((scenario.source, item.id))
                yield _surge(trial, scenario, item, injection.out, injection.back)


def surge_current_a(spec: Inverter, voltage_v: float) -> float:
    """Return the battery current of an inverter while it delivers its surge; zero where none is given."""
    if spec.surge is None:
        return 0.0
    return spec.surge.power_w / ((spec.efficiency or ASSUMED_INVERTER_EFFICIENCY) * voltage_v)


def terminal_v(emf_v: float, series_ohm: float, power_w: float) -> float:
    """Return the voltage at a load of constant power behind a resistance: U = E/2 + √(E²/4 − R·P).

    An inverter takes more current the lower its voltage. Where the source cannot give the power at all, half of its
    voltage is left: the most that it can give.
    """
    return emf_v / 2 + math.sqrt(max(0.0, emf_v**2 / 4 - series_ohm * power_w))


def cables_ohm(trial: Trial, scenario: Scenario, out: str, back: str) -> float:
    """Return the resistance in ohm of the cores from a battery to two terminals and back."""
    ways = zip(trial.trees(scenario), (out, back), strict=True)
    cores = [
        core for tree, end in ways if end in tree.came for core in tree.way(end) if isinstance(core, Core)
    ]
    return sum(trial.impedance(core, False).real for core in cores)


def rest_v(trial: Trial, scenario: Scenario, item: str, ends: tuple[str, str], battery_ohm: float) -> float:
    """Return what everything else on a battery takes from the voltage at one consumer: in the battery, and in the
    cables that they share.
    """
    rest = tuple(i for i in scenario.injections if i.item != item)
    probe = Injection(item, *ends, 0j)
    flow = solve(
        scenario.state, scenario.terminals, (*rest, probe), lambda core: trial.impedance(core, ac=False)
    )
    return flow.drop_v.get(item, 0j).real + battery_ohm * sum(i.current_a.real for i in rest)


def shortest_s(device: str, rating_a: float, current_a: float) -> float | None:
    """Return the shortest time in which a device of a rating may open at a current; None where no table
    says.
    """
    windows = trip_times_s(device, rating_a)
    return min((band.low for m, band in windows if m <= current_a / rating_a), default=None)


def surge_v(trial: Trial, scenario: Scenario, spec: Inverter, out: str, back: str) -> float:
    """Return the voltage in V that an inverter has at its surge, its battery aged and cold."""
    series = source_ohm(trial.network.items[scenario.source]) + cables_ohm(trial, scenario, out, back)
    power = spec.surge.power_w if spec.surge else 0.0
    return terminal_v(scenario.voltage_v, series, power / (spec.efficiency or ASSUMED_INVERTER_EFFICIENCY))


def source_ohm(item: Item) -> float:
    """Return the internal resistance of an aged and cold battery; zero where none is given."""
    resistance = item.spec.internal_resistance if isinstance(item.spec, Battery) else None
    return resistance.aged_cold_ohm if resistance else 0.0


def _surge(
    trial: Trial, scenario: Scenario, item: Item, out: str, back: str
) -> tuple[tuple[Working, ...], tuple[Finding, ...]]:
    spec, battery = item.spec, trial.network.items[scenario.source]
    assert isinstance(spec, Inverter)  # noqa: S101  (asked for by kind)
    assert spec.surge is not None  # noqa: S101
    trees = trial.trees(scenario)
    wires_ohm = cables_ohm(trial, scenario, out, back)
    internal_ohm = source_ohm(battery)
    eta = spec.efficiency or ASSUMED_INVERTER_EFFICIENCY
    voltage = surge_v(trial, scenario, spec, out, back)
    current = surge_current_a(spec, voltage)
    subject = f"{battery.id}–{item.id}"
    cut_out = spec.cut_out_below_v
    first = Working(
        subject,
        "surge_current",
        "I_surge",
        "P_surge / (η · U_surge)",
        (
            Input("P_surge", spec.surge.power_w, "W", "described"),
            Input("η", eta, "", "described" if spec.efficiency else "assumed"),
            Input("U_surge", voltage, "V", "loads"),
        ),
        current,
        "A",
        "",
        note=f"{spec.surge.duration_s:g} s",
        verified="read" if spec.efficiency else "assumed",
    )
    second = Working(
        subject,
        "surge_voltage",
        "U_surge",
        "U_min / 2 + √(U_min² / 4 − (R_b + R_c) / 1000 · P_surge / η)",
        (
            Input("U_min", scenario.voltage_v, "V", "battery"),
            Input("P_surge", spec.surge.power_w, "W", "described"),
            Input("η", eta, "", "described" if spec.efficiency else "assumed"),
            Input("R_b", 1000 * internal_ohm, "mohm", "described"),
            Input("R_c", 1000 * wires_ohm, "mohm", "cables"),
        ),
        voltage,
        "V",
        "",
        Limit("≥", cut_out, "V", "build description") if cut_out else None,
        "stated" if not cut_out else "holds" if voltage >= cut_out else "fails",
        note="aged and cold",
    )
    return (first, second), tuple(
        _findings(trial, item, battery, trees[0].way(out), current, voltage, second.id)
    )


def _findings(
    trial: Trial,
    item: Item,
    battery: Item,
    way: tuple[object, ...],
    current: float,
    voltage: float,
    working: str,
) -> Iterator[Finding]:
    spec = item.spec
    assert isinstance(spec, Inverter)  # noqa: S101  (asked for by kind)
    assert spec.surge is not None  # noqa: S101
    fields: dict[str, object] = {
        "inverter": item.id,
        "battery": battery.id,
        "current_a": round(current),
        "duration_s": spec.surge.duration_s,
        "voltage_v": round(voltage, 1),
        "cut_out_v": spec.cut_out_below_v or 0.0,
    }
    if spec.cut_out_below_v and voltage < spec.cut_out_below_v:
        where = (item.id, battery.id)
        yield Finding("surge-below-cut-out", Grade.IMPROVEMENT, where, item.mark, (), fields, "", working)
    for id_ in dict.fromkeys(e.equipment for e in way if isinstance(e, Contact)):
        device = trial.network.items[id_]
        if not isinstance(device.spec, Fuse):
            continue
        shortest = shortest_s(device_name(device.spec), device.spec.rating_a, current)
        if shortest is not None and shortest < spec.surge.duration_s:
            given = {**fields, "device": id_, "shortest_s": shortest, "rating_a": device.spec.rating_a}
            yield Finding("surge-opens-fuse", Grade.IMPROVEMENT, (id_, item.id), device.mark, (), given, "")
