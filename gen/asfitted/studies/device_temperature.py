"""Breakers where they sit: hot air and warm neighbours make a thermal release open below its rating."""

from collections.abc import Iterator

from asfitted.description.kinds import Breaker
from asfitted.network.model import Item
from asfitted.studies.device_checks import DeviceResult
from asfitted.studies.results import Finding, Grade, Input, Limit, Working
from asfitted.studies.trial import Trial
from asfitted.tables.devices import side_by_side_factor, temperature_factor
from asfitted.tables.looked import Looked


def ambient_of(trial: Trial, item: Item) -> float:
    """Return the air around a device: that of its space, else that of the build."""
    description = trial.network.description
    space = description.spaces.get(item.spec.space) if item.spec.space else None
    return float(space.ambient_c if space and space.ambient_c is not None else description.build.ambient_c)


def together(trial: Trial, item: Item) -> int:
    """Return how many breakers stand side by side in a device's board, itself counted."""
    beside = [
        other
        for other in trial.network.items.values()
        if isinstance(other.spec, Breaker) and other.board is not None and other.board == item.board
    ]
    return max(1, len(beside))


def warm_factors(trial: Trial, item: Item) -> tuple[Looked, Looked]:
    """Return the shares of its rating that hot air and neighbours leave to a breaker where it sits."""
    heat = temperature_factor(ambient_of(trial, item), trial.rules.device_reference_c)
    return heat, side_by_side_factor(together(trial, item))


def warmed(trial: Trial, result: DeviceResult) -> Iterator[Working | Finding]:
    """Yield what a breaker carries for good where it sits, and the finding if its load is more."""
    item = trial.network.items[result.id]
    if not isinstance(item.spec, Breaker):
        return
    ambient, count = ambient_of(trial, item), together(trial, item)
    heat, beside = warm_factors(trial, item)
    rating = result.rating_a * heat.value * beside.value
    working = Working(
        item.id,
        "device_at_temperature",
        "I_n,θ",
        "I_n · k_θ · k_n",
        (
            Input("I_n", result.rating_a, "A", "rating"),
            Input("k_θ", heat.value, "", "table"),
            Input("k_n", beside.value, "", "table"),
            Input("θ_a", ambient, "°C", "space" if item.spec.space else "build"),
            Input("n", count, "", "board"),
        ),
        rating,
        "A",
        heat.source,
        Limit("≥", result.load_current_a, "A", trial.rules.clause("design current")),
        "holds" if rating >= result.load_current_a else "fails",
        verified=heat.verified,
    )
    yield working
    if rating < result.load_current_a <= result.rating_a:
        fields: dict[str, object] = {
            "device": item.id,
            "rating_a": result.rating_a,
            "warm_a": round(rating, 1),
            "ambient_c": ambient,
            "neighbours": count - 1,
            "current_a": round(result.load_current_a, 1),
        }
        clause = trial.rules.clause("design current")
        yield Finding("device-warm", Grade.IMPROVEMENT, (item.id,), item.mark, (), fields, clause, working.id)
