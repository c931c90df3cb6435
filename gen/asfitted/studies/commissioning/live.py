"""Tests with alternating voltage, one column for each operating state in which there is some."""

from collections.abc import Iterator
from functools import partial

from asfitted.description.kinds import AcSupply, Generator, Inverter
from asfitted.network.states import State
from asfitted.studies.commissioning.conductors import cores_ohm, floor_ohm
from asfitted.studies.commissioning.meters import LOW_IMPEDANCE, VOLTMETER, Meter, Pair
from asfitted.studies.commissioning.plan import Column, Expected, Subject, Test, lines_of, pairs_at
from asfitted.studies.coverage import Coverage, residual_a
from asfitted.studies.demand_ac import ac_voltage_v
from asfitted.studies.loops import C_MIN, LoopResult

#: EN 50160 (from memory): a public supply within ±10 %; an inverter from −6 % to +10 % (house rule)
SUPPLY_BAND, INVERTER_BAND = (0.9, 1.1), (0.94, 1.1)
FREQUENCY_SHARE = 0.01
#: neutral to earth without load: a few volts on a supply, 2 V aboard (house rules)
NEUTRAL_V, NEUTRAL_ABOARD_V = 5.0, 2.0
#: what a pin or a far end may show before it counts as live (house rule)
GHOST_V = 5.0
#: IEC 60364-6 annex (from memory): a loop measured cold may be two thirds of U0/Ia
COLD_LOOP = 2 / 3
#: an earth above this may not stay what it is (BS 7671 Table 41.5, note; from memory)
STABLE_OHM = 200.0
#: BS 7671 531.3.2: standing leakage at most 30 % of the rated residual current
LEAKAGE_SHARE = 0.3
#: what a clamp meter for direct current shows of nothing (house rule)
NOTHING_A = 0.05


def live_tests(subject: Subject) -> Iterator[Test]:
    """Yield the live tests in their order: the supply before it is used, voltages before trips."""
    yield from _before_plugging(subject)
    yield from _voltages(subject)
    yield from _nothing_fed_back(subject)
    yield Test("bonds", "live", subject.columns(partial(_bond_count, subject)))
    for code, of in (("polarity-live", _fed), ("loop", _loop), ("ac-drop", _drop)):
        for outlet in subject.outlets:
            yield Test(code, "live", subject.columns(partial(of, subject, outlet)), outlet)
    yield from _currents_in_earth(subject)
    yield from _sources(subject)


def _fed(subject: Subject, outlet: str, state: State) -> Column:
    return Column(state.id, not_applicable="" if state.id in subject.covers(outlet) else "not fed")


def band(subject: Subject, source: str, pair: Pair = ("L", "N")) -> tuple[float, float, float]:
    """Return nominal, least and greatest voltage of a source; twice that between its two lines."""
    volts = ac_voltage_v(subject.network, source) * (2 if pair[1].startswith("L") else 1)
    stiff = isinstance(subject.network.items[source].spec, AcSupply)
    low, high = SUPPLY_BAND if stiff else INVERTER_BAND
    return volts, volts * low, volts * high


def _before_plugging(subject: Subject) -> Iterator[Test]:
    for supply in subject.network.of_kind("ac supply"):
        plugs = bool(subject.inlets[supply.id])
        code = "supply-before-plugging" if plugs else "supply-before-switching"
        for pair in pairs_at(supply.terminals, supply.id):
            columns = subject.columns(partial(_of_supply, subject, supply.id, pair))
            yield Test(code, "live", columns, supply.id, "-".join(pair), _named(pair))
        if plugs:
            true_earth = subject.columns(partial(_of_supply, subject, supply.id, ("N", "PE")))
            yield Test("site-earth", "live", true_earth, supply.id)


def _named(pair: Pair) -> dict[str, object]:
    return {"pair": "–".join(pair)}


def _of_supply(subject: Subject, supply: str, pair: Pair, state: State) -> Column:
    if state.condition(supply) != "live":
        return Column(state.id, not_applicable="supply not live")
    if pair == ("N", "PE"):
        return Column(state.id, Expected("V", 0.0, high=NEUTRAL_V))
    if pair[1] == "PE" and getattr(subject.network.items[supply].spec, "earthing", "") == "IT":
        return Column(state.id, Expected("V"))
    volts, low, high = band(subject, supply, pair)
    return Column(state.id, Expected("V", volts, low, high))


def _voltages(subject: Subject) -> Iterator[Test]:
    """Yield line, neutral and earth against each other at every outlet, to earth with both meters."""
    for outlet in subject.outlets:
        for pair in pairs_at(subject.network.items[outlet].terminals, outlet):
            for meter in (VOLTMETER, LOW_IMPEDANCE) if pair[1] == "PE" else (VOLTMETER,):
                detail = "-".join(pair) + ("" if meter is VOLTMETER else "-loaded")
                columns = subject.columns(partial(_voltage, subject, outlet, pair, meter))
                yield Test("voltage", "live", columns, outlet, detail, _named(pair))


def _voltage(subject: Subject, outlet: str, pair: Pair, meter: Meter, state: State) -> Column:
    cover = subject.covers(outlet).get(state.id)
    if cover is None:
        return Column(state.id, not_applicable="not fed")
    bonded = _measure(subject, cover) == "bonded"
    if meter is LOW_IMPEDANCE and pair[0] != "N" and cover.protected and bonded:
        return Column(state.id, not_applicable="trips the device")
    read = subject.instruments.volts(state, [(f"{outlet}.{pair[0]}", f"{outlet}.{pair[1]}")], meter)[0]
    _, low, high = band(subject, cover.source, pair)
    if pair[1] != "PE":
        return Column(state.id, Expected("V", read, low, high))
    if not bonded:
        # no side is tied to earth: only a meter that loads it shows that nothing stands behind
        limit = max(10.0, 2 * read) if meter is LOW_IMPEDANCE else None
        return Column(state.id, Expected("V", read, high=limit))
    if pair[0] == "N":
        aboard = not isinstance(subject.network.items[cover.source].spec, AcSupply)
        return Column(state.id, Expected("V", read, high=NEUTRAL_ABOARD_V if aboard else NEUTRAL_V))
    return Column(state.id, Expected("V", read, low, high))


def _measure(subject: Subject, cover: Coverage) -> str:
    islands = subject.islands[cover.state]
    return next((i.measure for i in islands if cover.source in i.sources), "bonded")


def _nothing_fed_back(subject: Subject) -> Iterator[Test]:
    """Yield the pins of an inlet that hangs free, and the far end of a lead in a dead site."""
    network = subject.network
    for supply in network.of_kind("ac supply"):
        for inlet in subject.inlets[supply.id]:
            port = f"{inlet}.pins"
            for pair in pairs_at(network.items[inlet].terminals, port):
                ends = (f"{port}.{pair[0]}", f"{port}.{pair[1]}")
                columns = subject.columns(partial(_pins, subject, supply.id, ends))
                yield Test("pins-dead", "live", columns, inlet, "-".join(pair), _named(pair))
        columns = subject.columns(partial(_far_end, subject, supply.id))
        yield Test(
            "site-not-fed" if subject.inlets[supply.id] else "grid-not-fed", "live", columns, supply.id
        )


def _pins(subject: Subject, supply: str, ends: Pair, state: State) -> Column:
    if state.condition(supply) != "unplugged":
        return Column(state.id, not_applicable="plugged in")
    read = subject.instruments.volts(state, [ends], LOW_IMPEDANCE)[0]
    return Column(state.id, Expected("V", read, high=GHOST_V))


def _far_end(subject: Subject, supply: str, state: State) -> Column:
    if state.condition(supply) != "dead":
        return Column(state.id, not_applicable="not plugged dead")
    lines = lines_of(subject.network.items[supply].terminals, supply)
    ends = (f"{supply}.{lines[0]}", f"{supply}.N") if lines else ("", "")
    if any(end not in subject.instruments.circuit.node_of for end in ends):
        return Column(state.id, Expected("V", 0.0, high=GHOST_V))
    read = subject.instruments.volts(state, [ends], LOW_IMPEDANCE)[0]
    return Column(state.id, Expected("V", read, high=GHOST_V))


def _bond_count(subject: Subject, state: State) -> Column:
    """Every island that feeds something counts its effective ties; where none is wanted the count is none."""
    counts = [
        (1 if island.measure == "bonded" else 0, len(island.effective))
        for island in subject.islands[state.id]
        if not island.idle
    ]
    if not counts:
        return Column(state.id, not_applicable="nothing fed")
    wanted = float(max(want for want, _ in counts))
    return Column(state.id, Expected("", wanted, wanted, wanted))


def _loop(subject: Subject, outlet: str, state: State) -> Column:
    cover = subject.covers(outlet).get(state.id)
    if cover is None:
        return Column(state.id, not_applicable="not fed")
    spec = subject.network.items[cover.source].spec
    if isinstance(spec, Inverter):
        return Column(state.id, not_applicable="limited source")
    if isinstance(spec, Generator):
        return Column(state.id, not_applicable="generator")
    found = next(
        (r for r in subject.sizing.loops if (r.outlet, r.source, r.site) == (outlet, cover.source, "")), None
    )
    if found is None or found.system == "IT":
        return Column(state.id, not_applicable="no loop")
    return Column(state.id, loop_expected(subject, found))


def _drop(subject: Subject, outlet: str, state: State) -> Column:
    """The voltage that is lost between the source and an outlet with everything on it switched on."""
    cover = subject.covers(outlet).get(state.id)
    if cover is None:
        return Column(state.id, not_applicable="not fed")
    for way in subject.sizing.drops:
        if (way.source, way.item, way.mode) == (cover.source, outlet, "supply"):
            return Column(state.id, Expected("V", way.drop_v, high=way.limit.value / 100 * way.voltage_v))
    return Column(state.id, not_applicable="not fed")


def loop_expected(subject: Subject, found: LoopResult) -> Expected:
    """Return the loop to expect cold, its limit, and what the conductors aboard cannot fall below.

    The limit is two thirds of U0/Ia where the overcurrent device disconnects, else that of the residual
    current device.
    """
    aboard = cores_ohm(subject, found.line) + cores_ohm(subject, found.earth)
    expected = found.supply_ohm + aboard if found.loop_ohm is not None else None
    limit = min(found.allowed_rcd_ohm, STABLE_OHM) if found.allowed_rcd_ohm else None
    if found.outcome == "overcurrent" and found.allowed_ohm is not None:
        hot = abs(found.line_ohm + found.earth_ohm)
        limit = COLD_LOOP * (found.allowed_ohm + hot) / C_MIN
    return Expected("ohm", expected, high=limit, floor=floor_ohm(aboard))


def _currents_in_earth(subject: Subject) -> Iterator[Test]:
    for supply in subject.network.of_kind("ac supply"):
        for inlet in subject.inlets[supply.id]:
            columns = subject.columns(partial(_in_lead, subject, supply.id, inlet))
            yield Test("earth-current", "live", columns, inlet)
    for device in subject.network.items.values():
        rated = residual_a(device)
        if rated is not None and device.kind != "GFCI receptacle":
            columns = subject.columns(partial(_standing, subject, device.id, rated))
            yield Test("leakage", "live", columns, device.id)


def _in_lead(subject: Subject, supply: str, inlet: str, state: State) -> Column:
    if state.condition(supply) == "unplugged":
        return Column(state.id, not_applicable="unplugged")
    cores = subject.leakage[state.id][1]
    end = f"{inlet}.coupler.PE"
    lead = next((c for c in subject.network.cores.values() if end in (c.a, c.b)), None)
    value = cores.get(lead.id) if lead else None
    return Column(state.id, Expected("mA", value, high=LEAKAGE_SHARE * 0.03))


def _standing(subject: Subject, device: str, rated_a: float, state: State) -> Column:
    passes = any(device in cover.aboard for cover in subject.coverage[state.id])
    if not passes:
        return Column(state.id, not_applicable="not fed")
    value = subject.leakage[state.id][0].get(device)
    return Column(state.id, Expected("mA", value, high=LEAKAGE_SHARE * rated_a))


def _sources(subject: Subject) -> Iterator[Test]:
    """Yield what each source aboard gives, empty and under load, and what it does to its battery."""
    network = subject.network
    aboard = [item for item in network.items.values() if isinstance(item.spec, Inverter | Generator)]
    inverters = [item for item in aboard if isinstance(item.spec, Inverter)]
    for item in aboard:
        volts, low, high = band(subject, item.id)
        columns = subject.columns(partial(_running, item.id, Expected("V", volts, low, high)))
        for detail in ("no-load", "full-load"):
            yield Test("output-voltage", "live", columns, item.id, detail)
    for item in aboard:
        given = getattr(item.spec, "frequency_hz", None)
        hz = float(given or subject.instruments.circuit.circuit.frequency_hz)
        expected = Expected("Hz", hz, hz * (1 - FREQUENCY_SHARE), hz * (1 + FREQUENCY_SHARE))
        yield Test("output-frequency", "live", subject.columns(partial(_running, item.id, expected)), item.id)
    for code in ("short-circuit", "overload", "case-direct-current", "search-mode"):
        still = Expected("A", 0.0, high=NOTHING_A) if code == "case-direct-current" else None
        for item in inverters:
            yield Test(code, "live", subject.columns(partial(_running, item.id, still)), item.id)
    for item in network.of_kind("generator"):
        yield Test("generator-bond", "live", subject.columns(partial(_running, item.id, None)), item.id)
    for charger in network.of_kind("battery charger"):
        yield Test("charger-still", "live", subject.columns(partial(_still, subject, charger.id)), charger.id)


def _running(source: str, expected: Expected | None, state: State) -> Column:
    if source in state.sources and state.feeding[source]:
        return Column(state.id, expected)
    return Column(state.id, not_applicable="not feeding")


def _still(subject: Subject, charger: str, state: State) -> Column:
    """A charger gives nothing while no supply or generator feeds it: never through the build's own inverter."""
    cover = subject.covers(charger).get(state.id)
    if cover is not None and isinstance(subject.network.items[cover.source].spec, AcSupply | Generator):
        return Column(state.id, not_applicable="charges here")
    return Column(state.id, Expected("A", 0.0, high=NOTHING_A))
