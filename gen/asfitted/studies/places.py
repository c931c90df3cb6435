"""What the place of a thing asks of it: cables of other voltages in the same bundle, the lead to the site, the
isolator in its protective conductor.
"""

from collections.abc import Iterator

from asfitted.description.kinds import AcSupply, GalvanicIsolator
from asfitted.network.model import Cable, Item
from asfitted.studies.demand_ac import ac_voltage_v
from asfitted.studies.results import Finding, Grade
from asfitted.studies.trial import Trial
from asfitted.tables.rules.iec60364 import connecting_lead_mm2
from asfitted.tables.rules.rule_set import SILENT


def place_findings(trial: Trial) -> Iterator[Finding]:
    """Yield bundles of two voltages, leads thinner than their table, isolators too small in protective
    conductors.
    """
    yield from _mixed_bundles(trial)
    yield from _leads(trial)
    yield from _galvanic_isolators(trial)


def _mixed_bundles(trial: Trial) -> Iterator[Finding]:
    """A.c. and d.c. cables that lie together: each must be insulated for the higher voltage."""
    for bundle in trial.network.description.bundles:
        together = [c for c in trial.network.cables.values() if c.bundle == bundle]
        ac = [c for c in together if c.kind in ("ac", "L", "N")]
        dc = [c for c in together if c.kind in ("dc", "plus", "minus")]
        thin = [c for c in dc if not _insulated_for(trial, c)]
        if ac and thin:
            fields: dict[str, object] = {
                "bundle": bundle,
                "ac": ", ".join(c.id for c in ac),
                "dc": ", ".join(c.id for c in thin),
            }
            where, clause = tuple(c.id for c in together), trial.rules.clause("segregation")
            yield Finding(
                "bundle-of-two-voltages", Grade.IMPROVEMENT, where, thin[0].mark, (), fields, clause
            )


def _insulated_for(trial: Trial, cable: Cable) -> bool:
    """Tell whether a cable is made for the highest voltage of the build, where the rules take that for
    separation.
    """
    made_for = trial.network.description.cables[cable.id].voltage_v
    if made_for is None or trial.rules.apart_in_any_case:
        return False
    sources = trial.network.of_kind("ac supply", "generator", "inverter", "inverter charger")
    return float(made_for) >= max((_between_lines_v(trial, item) for item in sources), default=0.0)


def _between_lines_v(trial: Trial, source: Item) -> float:
    """Return the highest voltage between two conductors of an a.c. source."""
    split = getattr(source.spec, "split_phase", False)
    return ac_voltage_v(trial.network, source.id) * (2 if split else 1)


def _leads(trial: Trial) -> Iterator[Finding]:
    clause = trial.rules.clause("connecting lead")
    if clause == SILENT or trial.network.description.build.setting not in ("road vehicle", "trailer"):
        return
    for supply in trial.network.of_kind("ac supply"):
        assert isinstance(supply.spec, AcSupply)  # noqa: S101  (asked for by kind)
        least = connecting_lead_mm2(supply.spec.rating_a)
        for cable in trial.loaded:
            ends = {trial.network.owner[end] for core in cable.live for end in (core.a, core.b)}
            if least and supply.id in ends and trial.sizes[cable.id].mm2 < least.value:
                fields: dict[str, object] = {
                    "cable": cable.id,
                    "size": trial.sizes[cable.id].designation,
                    "rating_a": supply.spec.rating_a,
                    "least_mm2": least.value,
                }
                yield Finding("lead-too-thin", Grade.IMPROVEMENT, (cable.id,), cable.mark, (), fields, clause)


def _galvanic_isolators(trial: Trial) -> Iterator[Finding]:
    """It lies in the protective conductor: it must carry what the supply drives, and fail closed."""
    clause = trial.rules.clause("galvanic isolator")
    supplies = [i.spec for i in trial.network.of_kind("ac supply") if isinstance(i.spec, AcSupply)]
    most = max((supply.upstream.rating_a for supply in supplies), default=0.0)
    for item in trial.network.of_kind("galvanic isolator"):
        assert isinstance(item.spec, GalvanicIsolator)  # noqa: S101  (asked for by kind)
        fields: dict[str, object] = {"isolator": item.id, "rating_a": item.spec.rating_a, "supply_a": most}
        if item.spec.rating_a < most:
            yield Finding(
                "galvanic-isolator-small", Grade.POTENTIAL, (item.id,), item.mark, (), fields, clause
            )
        if item.spec.certified_to in (None, "none"):
            yield Finding(
                "galvanic-isolator-unproved", Grade.INVESTIGATION, (item.id,), item.mark, (), fields, clause
            )
