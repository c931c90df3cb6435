"""Where no standard device fits: what asks for more, what allows less."""

from collections.abc import Iterator
from math import isfinite

from asfitted import words
from asfitted.network.model import Network
from asfitted.studies.auto_device import Choice
from asfitted.studies.results import Finding, Grade
from asfitted.studies.sizing import Sizing

#: finding -> the field that says how large a device may be, and the one that names what allows no more
CEILINGS = {
    "device-above-cable": ("permitted_a", "cable"),
    "small-conductor": ("permitted_a", "cable"),
    "shared-neutral": ("capacity_a", "cable"),
    "socket-device-too-large": ("rating_a", "sockets"),
    "receptacle-device": ("fitting_device_a", "sockets"),
}


def unfit_devices(network: Network, sizing: Sizing, choices: tuple[Choice, ...]) -> Iterator[Finding]:
    """Yield each device written `auto` that no standard rating or breaking capacity fits, with both bounds."""
    for choice in choices:
        item = network.items[choice.device]
        needed_a = max(choice.needs.values(), default=0.0)
        needed = f"{needed_a:.1f}" if isfinite(needed_a) else f"> {choice.value:g}"
        fields: dict[str, object] = {"device": item.id, "needed_a": needed, "value_a": choice.value}
        if choice.governed_by in ("no rating", "no capacity"):
            fields["field"] = choice.field
            yield Finding("no-standard-device", Grade.POTENTIAL, (item.id,), item.mark, fields=fields)
        if choice.field != "rating":
            continue
        check = max(choice.needs, key=lambda name: choice.needs[name])
        fields["check"] = words.text("workings", f"choices.{check}")
        ceilings = {
            tuple(str(finding.fields[name]) for name in CEILINGS[finding.code])
            for finding in sizing.findings
            if finding.code in CEILINGS and item.id in finding.where
        }
        for limit, what in sorted(ceilings):
            given = {**fields, "what": what, "limit_a": limit}
            code = "no-device-fits" if what in network.cables else "no-device-fits-outlets"
            yield Finding(code, Grade.POTENTIAL, (item.id, what), item.mark, fields=given)
