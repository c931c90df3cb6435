"""Where a thing stands, and how cold it gets there."""

from asfitted.network.model import Item, Network


def lowest_c(network: Network, item: Item) -> float:
    """Return the lowest temperature of a thing: that of its space, else that of the build."""
    description = network.description
    space = description.spaces.get(item.spec.space or "")
    lowest = space.lowest_c if space and space.lowest_c is not None else description.build.lowest_c
    return float(lowest)
