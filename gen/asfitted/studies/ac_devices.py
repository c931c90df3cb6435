"""Poles and types of a.c. devices: what must open the neutral too, which residual currents must be seen."""

from collections.abc import Iterator

from asfitted.description.kinds import AcSupply, Breaker, Rcbo, Rcd
from asfitted.network.model import LINE, Item, Network
from asfitted.studies.results import Finding, Grade
from asfitted.studies.trial import Trial
from asfitted.tables.rules.rule_set import SILENT, RuleSet

#: converters whose residual current may hold a d.c. part
CONVERTERS = ("battery charger", "inverter charger", "inverter")


def ac_device_findings(trial: Trial) -> Iterator[Finding]:
    """Yield devices with too few poles for these rules or supplies, and residual devices of type AC before
    converters.
    """
    for item in trial.network.items.values():
        if isinstance(item.spec, Breaker) and _single_pole(trial, item):
            yield from _poles(trial, item)
        if isinstance(item.spec, Rcd | Rcbo) and item.spec.residual_type == "AC":
            yield from _type_ac(trial, item)


def _type_ac(trial: Trial, item: Item) -> Iterator[Finding]:
    clause = trial.rules.clause("RCD type")
    if clause != SILENT and trial.network.of_kind(*CONVERTERS):
        fields: dict[str, object] = {"device": item.id}
        yield Finding("rcd-type-ac", Grade.IMPROVEMENT, (item.id,), item.mark, (), fields, clause)


def _single_pole(trial: Trial, item: Item) -> bool:
    poles = {contact.conductor for contact in trial.network.contacts if contact.equipment == item.id}
    return bool(poles & {"L", "L1", "L2"}) and not (poles & {"N"} or {"L1", "L2"} <= poles)


def _poles(trial: Trial, item: Item) -> Iterator[Finding]:
    asked = opens_neutral(trial.network, trial.rules)
    if asked is None:
        return
    code, clause, supplies = asked
    reversible = tuple(supply for supply in supplies if _fed_from(trial, item, supply))
    if clause == SILENT and not reversible:
        return
    fields: dict[str, object] = {"device": item.id, "supply": ", ".join(reversible) or "–"}
    yield Finding(code, Grade.POTENTIAL, (item.id, *reversible), item.mark, fields=fields, clause=clause)


def _fed_from(trial: Trial, item: Item, supply: str) -> bool:
    """Tell whether a supply's line reaches a device in any state."""
    lines = [t for t in item.terminals if t.rsplit(".", 1)[-1] in LINE]
    return any(s.state.reaches(supply, line) for s in trial.scenarios for line in lines)


def opens_neutral(network: Network, rules: RuleSet) -> tuple[str, str, tuple[str, ...]] | None:
    """Return why devices must open the neutral too: the finding of one that does not, the clause, the supplies
    whose polarity may be reversed. None where nothing asks for it.
    """
    build = network.description.build
    clause = rules.clause("double pole")
    lived_in = build.use in ("lived in", "both") and build.setting in ("road vehicle", "trailer")
    if clause == SILENT and lived_in:
        clause = rules.clause("double pole lived in")
    reversible = tuple(
        supply.id
        for supply in network.of_kind("ac supply")
        if isinstance(supply.spec, AcSupply)
        and "may be reversed" in (supply.spec.polarity, *(v.polarity for v in supply.spec.at.values()))
    )
    if clause == SILENT and not reversible:
        return None
    return "single-pole-reversible" if clause == SILENT else "single-pole-device", clause, reversible
