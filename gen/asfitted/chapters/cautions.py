"""Chapter: cautions. Each appears only where this build has the hazard, with the figures of this build."""

from collections.abc import Iterator
from typing import Any

from asfitted import words
from asfitted.chapters.book import Book
from asfitted.chapters.signs import sign
from asfitted.description.kinds import (
    AcSupply,
    Battery,
    Breaker,
    Fuse,
    Inverter,
    SolarArray,
    SupplyInlet,
    TransferSwitch,
)
from asfitted.figures.labels import length
from asfitted.network.build import input_terminals
from asfitted.network.labels import where
from asfitted.network.model import Item
from asfitted.network.paths import path
from asfitted.numbers import quantity
from asfitted.studies.coverage import residual_a
from asfitted.studies.isolation import isolation
from asfitted.studies.signal import SIGNAL_WORDS, signal_word
from asfitted.tables.devices import instantaneous_band

Found = tuple[str, dict[str, object]]
PARTS = ("title", "hazard", "consequence", "avoidance", "happened")


def cautions(book: Book) -> list[dict[str, Any]]:
    """Return the cautions of this build, the most severe first: sentences, signs, the acts they belong to."""
    found = [
        *_supplies(book),
        *_protection(book),
        *_battery(book),
        *_sources(book),
        *_engines(book),
        *_work(book),
    ]
    alike: dict[str, list[dict[str, object]]] = {}
    for code, fields in found:
        alike.setdefault(code, []).append(fields)
    open_findings = frozenset(finding.code for finding in book.study.found)
    rows = [_caution(code, each, open_findings) for code, each in alike.items()]
    return sorted(rows, key=lambda row: SIGNAL_WORDS.index(row["level"]))


def _caution(code: str, each: list[dict[str, object]], open_findings: frozenset[str]) -> dict[str, Any]:
    """Return one caution for all that bear the hazard: what differs between them is said of each."""
    entry = words.catalogue("cautions")[code]
    sentences = {
        part: " ".join(dict.fromkeys(words.text("cautions", f"{code}.{part}", **fields) for fields in each))
        for part in PARTS
        if part in entry
    }
    worse = open_findings & set(entry.get("raised by", ()))
    return {
        "code": code,
        "level": signal_word(entry["severity"], "will" if worse else entry["probability"]),
        "signs": [sign(name) for name in entry["signs"]],
        "acts": entry["acts"],
        "steps": entry["steps"],
        **sentences,
    }


def context(book: Book) -> dict[str, Any]:
    """Return the cautions in order of severity, and the signs that are used."""
    found = cautions(book)
    used = {shown["name"]: shown for row in found for shown in row["signs"]}
    return {"cautions": found, "signs": [used[name] for name in sorted(used)]}


def at_act(found: list[dict[str, Any]], procedure: str) -> list[dict[str, Any]]:
    """Return the section messages of a procedure."""
    return [row for row in found if procedure in row["acts"]]


def at_step(found: list[dict[str, Any]], step: str) -> list[dict[str, Any]]:
    """Return the messages that stand before a step."""
    return [row for row in found if step in row["steps"]]


def _names(book: Book, ids: Iterator[str] | list[str]) -> str:
    return ", ".join(book.study.network.items[id_].name for id_ in ids)


def _supplies(book: Book) -> Iterator[Found]:
    network = book.study.network
    supplies = [
        i
        for i in network.items.values()
        if i.kind in ("ac supply", "generator", "inverter", "inverter charger")
    ]
    if len(supplies) > 1:
        yield "two-supplies", {"sources": _names(book, [i.id for i in supplies])}
    for inlet in network.of_kind("supply inlet"):
        yield "inlet-pins", {"inlet": inlet.name, "where": where(inlet)}
        yield "unknown-site", {"inlet": inlet.name}
        lead = next(
            (
                c
                for c in network.cables.values()
                if any(f"{inlet.id}.coupler" in (k.a + k.b) for k in c.cores)
            ),
            None,
        )
        if lead is not None:
            assert isinstance(inlet.spec, SupplyInlet)  # noqa: S101  (asked for by kind)
            yield (
                "lead",
                {
                    "lead": lead.id,
                    "length": length(network, lead.length_m),
                    "rating": quantity(inlet.spec.rating_a, "A"),
                },
            )
    for item in network.of_kind("ac supply"):
        assert isinstance(item.spec, AcSupply)  # noqa: S101  (asked for by kind)
        if item.spec.upstream.residual_a and any(residual_a(i) for i in network.items.values()):
            yield "two-rcds", {"site": item.name}
    for item in network.items.values():
        if isinstance(item.spec, TransferSwitch) and item.spec.to_source_2:
            slowest = max(claim.value for claim in (*item.spec.to_source_2, *(item.spec.to_source_1 or ())))
            yield "transfer-gap", {"switch": item.name, "gap": quantity(slowest, "s")}
    heaters = [
        name
        for item in network.items.values()
        if input_terminals(item)
        for name, load in getattr(item.spec, "loads", {}).items()
        if load.duty == "heater" and load.restarts != "by hand"
    ]
    if heaters:
        yield "heat-returns", {"heaters": ", ".join(heaters)}


def _protection(book: Book) -> Iterator[Found]:
    network = book.study.network
    if any(residual_a(item) for item in network.items.values()):
        yield "test-button", {}
    yield "protective-conductor", {}
    for item in network.items.values():
        if isinstance(item.spec, Inverter) and item.spec.output_limit:
            limit = item.spec.output_limit
            blind = next(
                (i for i in network.items.values() if _blind(book, item.id, i, limit.current_a)), None
            )
            if blind is not None:
                yield (
                    "inverter-short",
                    {
                        "inverter": item.name,
                        "limit": quantity(limit.current_a, "A"),
                        "lasts": quantity(limit.duration_s, "s"),
                        "then": words.text("cautions", f"then.{limit.then}"),
                        "device": blind.name,
                        "needed": quantity(_surely_instant_a(blind), "A"),
                    },
                )
    if any(isinstance(i.spec, Fuse) for i in network.items.values()):
        yield "replace-like", {}


def _surely_instant_a(item: Item) -> float:
    """Return the current from which a circuit-breaker surely trips at once; infinite if it has no curve."""
    spec = item.spec
    if not isinstance(spec, Breaker) or not spec.curve:
        return float("inf")
    return instantaneous_band(spec.curve).high * float(spec.rating_a)


def _blind(book: Book, source: str, item: Item, limit_a: float) -> bool:
    """Tell whether a circuit-breaker behind an inverter may get too little current to trip at once."""
    return limit_a < _surely_instant_a(item) < float("inf") and _fed_by(book, source, item.id)


def _fed_by(book: Book, source: str, device: str) -> bool:
    return any(
        source in state.sources and path(state, f"{source}.L", f"{device}.out.L")
        for state in book.study.states
    )


def _battery(book: Book) -> Iterator[Found]:
    for item in book.study.network.of_kind("battery"):
        assert isinstance(item.spec, Battery)  # noqa: S101  (asked for by kind)
        if item.spec.internal_resistance:
            current = item.spec.voltage_v / item.spec.internal_resistance.new_warm_ohm
            yield "battery-short", {"battery": item.name, "current": quantity(current, "A", 2)}
        if item.spec.charge_cut_off_below_c is not None and item.spec.chemistry == "LiFePO4":
            yield (
                "cold-charge",
                {"battery": item.name, "limit": quantity(item.spec.charge_cut_off_below_c, "°C")},
            )
        if item.spec.chemistry.startswith("lead-acid"):
            yield "lead-acid-gas", {"battery": item.name}


def _sources(book: Book) -> Iterator[Found]:
    network = book.study.network
    for item in network.items.values():
        if isinstance(item.spec, SolarArray):
            yield (
                "solar-live",
                {"array": item.name, "voltage": quantity(item.spec.open_circuit_voltage_v, "V")},
            )
    stays = isolation(network, book.study.states).stays_live
    for source, held in stays:
        loads = [id_ for id_ in held if network.items[id_].kind == "load"]
        if loads:
            yield "stays-live", {"source": network.items[source].name, "loads": _names(book, loads)}


def _engines(book: Book) -> Iterator[Found]:
    network = book.study.network
    sets = [item.id for item in network.of_kind("generator") if not item.planned]
    if sets:
        yield "exhaust", {"sets": _names(book, sets)}
    if network.description.build.setting == "boat" and network.of_kind("supply inlet"):
        yield "swimming", {}
    inverters = [item for item in network.items.values() if isinstance(item.spec, Inverter)]
    if inverters:
        yield "capacitors", {"inverters": _names(book, [item.id for item in inverters])}
    for item in inverters:
        limit = getattr(item.spec, "output_limit", None)
        if limit and limit.then == "restarts":
            yield "restarts-itself", {"inverter": item.name}


def _work(book: Book) -> Iterator[Found]:
    yield "licensed-work", {}
    network = book.study.network
    planned = [item.name for item in network.items.values() if item.planned]
    if planned:
        yield "planned", {"parts": ", ".join(planned)}
