"""The procedures of a build: those that apply, in the order in which an owner meets them, and what leads to them."""

from collections.abc import Iterator
from dataclasses import replace

from asfitted.studies.procedures.after_trip import after_trip
from asfitted.studies.procedures.emergency import emergency
from asfitted.studies.procedures.facts import Facts
from asfitted.studies.procedures.long_rest import long_rest
from asfitted.studies.procedures.model import Procedure, Procedures, Symptom, Tree
from asfitted.studies.procedures.plugging import plugging
from asfitted.studies.procedures.sources import charge, drive, generator, running_low
from asfitted.studies.procedures.switching import blackout, by_hand
from asfitted.studies.study import Study


def procedures(found: Study) -> Procedures:
    """Return every procedure that applies to a studied build."""
    facts = Facts(found)
    all_ = tuple(
        _numbered(
            (
                *plugging(facts),
                *blackout(facts),
                *by_hand(facts),
                *charge(facts),
                *generator(facts),
                *running_low(facts),
                *drive(facts),
                *long_rest(facts),
            )
        )
    )
    tree = after_trip(facts)
    return Procedures(emergency(facts), all_, tree, tuple(_symptoms(facts, all_, tree)))


def _numbered(all_: tuple[Procedure, ...]) -> Iterator[Procedure]:
    """Yield the procedures numbered within their code."""
    seen: dict[str, int] = {}
    for procedure in all_:
        seen[procedure.code] = seen.get(procedure.code, 0) + 1
        yield replace(procedure, number=seen[procedure.code])


def _symptoms(facts: Facts, all_: tuple[Procedure, ...], tree: Tree | None) -> Iterator[Symptom]:
    """Yield what somebody may notice, as far as this build can show it."""
    codes = {procedure.code for procedure in all_}

    def known(code: str, to: str, applies: object = True) -> Iterator[Symptom]:
        if applies and (to in codes or to == "emergency" or (to == "after-trip" and tree is not None)):
            yield Symptom(code, to)

    sockets = facts.network.of_kind("sockets", "GFCI receptacle")
    direct = any(f"{item.id}.plus" in item.terminals for item in facts.network.of_kind("load"))
    loop = any(bank.loops for bank in facts.study.energy.banks)
    yield from known("smell", "emergency")
    yield from known("tingle", "emergency")
    yield from known("no-sockets", "after-trip", sockets)
    yield from known("some-sockets", "after-trip", sockets)
    yield from known("no-direct", "after-trip", direct)
    yield from known("dark-plugged", "blackout", facts.plugs or facts.fixed)
    yield from known("site-trips", "after-trip", facts.plugs and facts.residual)
    yield from known("flat-loop", "by-hand", loop and facts.changeovers)
    yield from known("flat", "running-low")
    yield from known("beeps", "running-low", facts.inverters)
    yield from known("not-charging", "charge", facts.chargers)
    yield from known("not-charging-drive", "drive", facts.engine_chargers)
    yield from known("not-charging-tow", "tow", facts.engine_chargers)
    yield from known("not-charging-way", "under-way", facts.engine_chargers or facts.alternators)
    yield from known("stays-on-battery", "by-hand", facts.changeovers)
    yield from known("buzz", "by-hand", facts.changeovers)
    yield from known("warm-plug", "household-socket", facts.plugs)
    yield from known("wrong-tester", "unknown-supply", facts.plugs)
    yield from known("hum", "blackout", facts.names("compressor") or facts.names("motor"))
    yield from known("water", "after-water")
    yield from known(
        "frost", "charge", any(getattr(i.spec, "chemistry", "") == "LiFePO4" for i in facts.houses)
    )
    yield from known("long-unused", "re-start")
