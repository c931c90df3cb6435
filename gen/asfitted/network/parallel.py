"""Which sources are made to feed the same conductors at the same time."""

from asfitted.network.model import Item


def run_together(a: Item, b: Item) -> bool:
    """Tell whether two sources are declared to run in step: both of one synchronised set, or one with the grid."""
    kinds = [declared.kind if (declared := getattr(item.spec, "parallel", None)) else "" for item in (a, b)]
    if kinds == ["synchronised set", "synchronised set"]:
        return True
    supplies = [item.kind == "ac supply" for item in (a, b)]
    return any(supplies) and not all(supplies) and "grid parallel" in kinds
