"""How much a load matters to whoever lives with it: one notion for what is shed, what comes back first, what must go on.

The order is ours (assumed): heat is had in other ways and costs most, comfort and convenience can wait, food and light
less so. The builder's own words, `first to go` and `essential`, go before it.
"""

from asfitted.description.kinds import LoadItem

#: what is left off first comes first; a motor is a fan or a pump, a compressor keeps food
_BY_DUTY = {"heater": 1, "machine": 2, "motor": 2, None: 2, "compressor": 3, "lighting": 4, "continuous": 5}
VITAL = 6


def rank(load: LoadItem) -> int:
    """Return the place of a load in the order of shedding, 0 for what goes first, VITAL for what never does."""
    if load.priority == "essential" or load.duty == "alarm":
        return VITAL
    return 0 if load.priority == "first to go" else _BY_DUTY[load.duty]


def must_go_on(load: LoadItem) -> bool:
    """Tell whether a load is one that must not stop: alarms, what is essential, what is there to run all the time."""
    return rank(load) >= _BY_DUTY["continuous"]
