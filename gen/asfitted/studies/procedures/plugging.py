"""Coming to a supply and leaving it: the check before plugging in, plugging in, a household socket, unplugging."""

from collections.abc import Iterator

from asfitted.description.kinds import AcSupply
from asfitted.numbers import exceeds, quantity
from asfitted.studies.commissioning.live import NEUTRAL_V, SUPPLY_BAND
from asfitted.studies.coverage import residual_a
from asfitted.studies.demand import demand
from asfitted.studies.loads import ac_load
from asfitted.studies.procedures.facts import Facts, Plug, one
from asfitted.studies.procedures.model import Procedure, Step
from asfitted.studies.procedures.switching import changes, chosen_by_hand

#: what a household socket-outlet gives for hours, by the plug of the country; all from memory
#: 13 A plug of BS 1363 in continuous use (common practice: 10 A); 16 A plug of CEE 7 (common practice: 10 A);
#: 15 A receptacle, NFPA 70 210.23(A)(1): 80 %
HOUSEHOLD_A = {"BS 7671": 10.0, "NFPA 70": 12.0, "33 CFR 183": 12.0}
HOUSEHOLD_ELSE_A = 10.0


def plugging(facts: Facts) -> Iterator[Procedure]:
    """Yield what concerns each inlet, in the order in which an owner meets it."""
    for number, plug in enumerate(facts.plugs, 1):
        away, there = _away(facts, plug), _there(facts, plug)
        of_inlet = {"subject": plug.inlet.id, "number": number}
        yield Procedure("unknown-supply", tuple(_check(facts, plug)), away, away, **of_inlet)  # type: ignore[arg-type]
        yield Procedure("arrive", tuple(_arrive(facts, plug)), away, there, **of_inlet)  # type: ignore[arg-type]
        if household_a(facts) < plug.rating_a:
            yield Procedure("household-socket", tuple(_household(facts, plug)), away, there, **of_inlet)  # type: ignore[arg-type]
        yield Procedure("leave", tuple(_leave(facts, plug)), there, away, **of_inlet)  # type: ignore[arg-type]


def household_a(facts: Facts) -> float:
    """Return the current that a household socket-outlet gives for hours where the build is at home."""
    return HOUSEHOLD_A.get(facts.network.description.build.rules, HOUSEHOLD_ELSE_A)


def _away(facts: Facts, plug: Plug) -> tuple[str, ...]:
    return facts.running({plug.supply.id: "unplugged"})


def _there(facts: Facts, plug: Plug) -> tuple[str, ...]:
    return facts.running({plug.supply.id: "live"})


def _volts(plug: Plug) -> dict[str, object]:
    spec = plug.supply.spec
    assert isinstance(spec, AcSupply)  # noqa: S101  (asked for by kind)
    low, high = (share * spec.voltage_v for share in SUPPLY_BAND)
    return {
        "volts": quantity(spec.voltage_v, "V"),
        "low": quantity(low, "V"),
        "high": quantity(high, "V"),
        "hertz": quantity(spec.frequency_hz, "Hz"),
        "rating": quantity(plug.rating_a, "A"),
        "neutral": quantity(NEUTRAL_V, "V"),
        "inlet": one(plug.inlet),
    }


def _check(facts: Facts, plug: Plug) -> Iterator[Step]:
    """Yield the check of an unknown supply. Nothing is plugged in until all of it is passed."""
    at, fields = (plug.supply.id,), _volts(plug)
    yield Step("ask-earthing", at, fields)
    yield Step("read-outlet", at, fields)
    yield Step("look-at-outlet", at, fields)
    yield Step("test-site-rcd", at, fields)
    yield Step("prove-tester", (), fields)
    spec = plug.supply.spec
    if isinstance(spec, AcSupply) and spec.split_phase:
        yield Step("measure-lines", at, fields | _between_lines(spec))
    for code in ("measure-line-neutral", "measure-line-earth", "measure-neutral-earth"):
        yield Step(code, at, fields)


def _between_lines(spec: AcSupply) -> dict[str, object]:
    low, high = (2 * share * spec.voltage_v for share in SUPPLY_BAND)
    return {"low": quantity(low, "V"), "high": quantity(high, "V")}


def _arrive(facts: Facts, plug: Plug) -> Iterator[Step]:
    fields = _volts(plug)
    yield Step("supply-checked", (plug.supply.id,), fields)
    main = plug.main
    if main:
        yield Step("main-off", (main.id,), {"main": one(main)})
    if heaters := facts.names("heater"):
        yield Step("heaters-off", (), {"heaters": heaters})
    yield Step("look-at-lead", (), {"lead": plug.lead})
    yield Step("inlet-end-first", (plug.inlet.id,), fields | {"lead": plug.lead})
    if main:
        yield Step("site-end-last", (plug.supply.id,), fields | {"main": one(main)})
        yield Step("main-on", (main.id,), {"main": one(main)})
        if residual_a(main):
            yield Step("press-test", (main.id,), {"device": one(main)})
            yield Step("on-again", (main.id,), {"device": one(main)})
    else:
        yield Step("site-end-last-live", (plug.supply.id,), fields)
    yield from chosen_by_hand(facts, plug.supply)
    yield from changes(facts, _away(facts, plug), _there(facts, plug))
    socket = facts.socket(plug.supply.id)
    if socket:
        yield Step("socket-tester", (socket,), {"socket": facts.part(socket)})
    chargers = charged_by(facts, plug.supply.id)
    if chargers:
        yield Step("charger-shows", chargers, {"chargers": facts.part(*chargers)})


def charged_by(facts: Facts, supply: str) -> tuple[str, ...]:
    """Return the chargers that a source feeds."""
    fed = {id_ for state in facts.settled for id_ in state.feeding.get(supply, ())}
    return tuple(item.id for item in facts.chargers if item.id in fed)


def _household(facts: Facts, plug: Plug) -> Iterator[Step]:
    limit = household_a(facts)
    fields = _volts(plug) | {"limit": quantity(limit, "A"), "lead": plug.lead}
    yield Step("supply-checked-at-home", (plug.supply.id,), fields)
    yield Step("house-rcd", (plug.supply.id,), fields)
    yield Step("no-reel", (plug.supply.id,), fields)
    off, together = leave_off(facts, plug, limit)
    if off:
        yield Step("leave-off", (), fields | {"off": ", ".join(off), "together": quantity(together, "A")})
    else:
        yield Step("all-may-run", (), fields | {"together": quantity(together, "A")})
    yield Step("plug-as-usual", (plug.inlet.id,), fields)
    yield Step("feel-plug", (plug.supply.id,), fields)


def leave_off(facts: Facts, plug: Plug, limit_a: float) -> tuple[tuple[str, ...], float]:
    """Return what has to stay off so that the rest keeps below a limit, heaters and the largest first, and the
    current of the rest in A.
    """
    scenarios = [s for s in demand(facts.network, facts.study.states).scenarios if s.source == plug.supply.id]
    if not scenarios:
        return (), 0.0
    most = max(scenarios, key=lambda s: abs(sum((i.current_a for i in s.injections), 0j)))
    running: list[tuple[str, complex, bool]] = []
    for injection in most.injections:
        item = facts.network.items[injection.item]
        loads = getattr(item.spec, "loads", {})
        running += [
            (name, ac_load(name, load, most.voltage_v).current_a, load.duty == "heater")
            for name, load in loads.items()
        ]
        if not loads:
            running.append((item.name, injection.current_a, False))
    running.sort(key=lambda row: (not row[2], -abs(row[1])))
    off: list[str] = []
    while exceeds(abs(sum((current for _, current, _ in running), 0j)), limit_a):
        off.append(running.pop(0)[0])
    return tuple(off), abs(sum((current for _, current, _ in running), 0j))


def _leave(facts: Facts, plug: Plug) -> Iterator[Step]:
    if heaters := facts.names("heater"):
        yield Step("heaters-off", (), {"heaters": heaters})
    if plug.main:
        yield Step("main-off", (plug.main.id,), {"main": one(plug.main)})
    yield Step("site-end-first", (plug.supply.id,), {"lead": plug.lead})
    yield Step("inlet-end-last", (plug.inlet.id,), {"inlet": one(plug.inlet)})
    yield Step("cover", (plug.inlet.id,), {"inlet": one(plug.inlet)})
    yield from changes(facts, _there(facts, plug), _away(facts, plug))
    yield Step("stow-lead", (), {"lead": plug.lead})
