"""Overvoltages from outside: whether a building on a supply of its own has a surge protective device."""

from collections.abc import Iterator

from asfitted.studies.results import Finding, Grade
from asfitted.studies.trial import Trial

#: standards of surge protective devices
STANDARDS = ("61643", "UL 1449")


def overvoltage_findings(trial: Trial) -> Iterator[Finding]:
    """Yield a finding for each supply of a cabin or house without a surge protective device: nothing says
    that its line does not run overhead.
    """
    network = trial.network
    if network.description.build.setting not in ("cabin", "house"):
        return
    if any(s in str(item.spec.certified_to or "") for item in network.items.values() for s in STANDARDS):
        return
    for supply in network.of_kind("ac supply"):
        fields: dict[str, object] = {"source": supply.id}
        clause = trial.rules.clause("surge protection")
        yield Finding("no-surge-protection", Grade.IMPROVEMENT, (supply.id,), supply.mark, (), fields, clause)
