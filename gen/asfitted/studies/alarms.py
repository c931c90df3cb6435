"""Alarms that must go on when everything else is switched off: their feed comes before the isolator."""

from collections.abc import Iterator

from asfitted.description.kinds import Load, Sockets
from asfitted.network.model import Contact, Item
from asfitted.studies.protection import Feed
from asfitted.studies.results import Finding, Grade
from asfitted.studies.trial import Trial

SWITCHES = ("isolator", "contactor")


def alarm_findings(trial: Trial, feeds: tuple[Feed, ...]) -> Iterator[Finding]:
    """Yield the alarms that no battery feeds without a switch in between; those of a building may hang on its
    supply.
    """
    building = trial.network.description.build.setting in ("cabin", "house")
    for item in trial.network.of_kind("load", "sockets"):
        assert isinstance(item.spec, Load | Sockets)  # noqa: S101  (asked for by kind)
        if not any(load.duty == "alarm" for load in item.spec.loads.values()):
            continue
        if any(_always(trial, feed, item, building) for feed in feeds):
            continue
        fields: dict[str, object] = {"item": item.id}
        clause = trial.rules.clause("alarm")
        yield Finding("alarm-behind-isolator", Grade.IMPROVEMENT, (item.id,), item.mark, (), fields, clause)


def _always(trial: Trial, feed: Feed, item: Item, building: bool) -> bool:
    """Tell whether a source feeds an item whatever is switched off."""
    kind = trial.network.items[feed.source].kind
    if kind != "battery" and not (building and kind == "ac supply"):
        return False
    reached = [t for t in item.terminals if t in feed.tree.came and not t.endswith((".N", ".minus"))]
    return any(
        not any(
            isinstance(e, Contact) and trial.network.items[e.equipment].kind in SWITCHES
            for e in feed.tree.way(terminal)
        )
        for terminal in reached
    )
