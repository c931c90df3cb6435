"""Devices written `auto`: the smallest standard rating that passes every check, and what goes with it.

A device is chosen by what lies behind it, the cables by the device, the breaking capacity by what then may flow.
All begin with the smallest and only ever grow, until nothing changes: what comes out is the smallest solution of all
together.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from asfitted.description.kinds import Breaker, Choosable, Fuse, Inline
from asfitted.network.build import with_contacts
from asfitted.network.model import Item, Network
from asfitted.network.states import State
from asfitted.studies.ac_devices import opens_neutral
from asfitted.studies.dc_checks import is_direct
from asfitted.studies.device_checks import faced
from asfitted.studies.device_needs import rating_needs, starting_a
from asfitted.studies.prospective import entry, origin
from asfitted.studies.protection import device_name
from asfitted.studies.settled import Settled, settle
from asfitted.tables.devices import instantaneous_band, published_breaking_capacity, published_voltage_v
from asfitted.tables.looked import NoRowError
from asfitted.tables.rules.rule_set import RuleSet

#: more rounds than any chain of devices has links
ROUNDS = 12
#: fields as written -> as named in the models
NAMES = {
    "rating": "rating_a",
    "curve": "curve",
    "breaking capacity": "breaking_capacity_a",
    "dc voltage": "dc_voltage_v",
    "residual current": "residual_a",
    "residual type": "residual_type",
}
UNITS = {"rating": "A", "breaking capacity": "A", "dc voltage": "V", "residual current": "A"}


@dataclass(frozen=True)
class Choice:
    """One field of a device that was left open, and what was chosen for it.

    `value` is in A or V, or a word. `governed_by` is a key of the `choices` words; `needs` maps each check to the
    least value that passes it; `by_current` is what the design current alone would ask for. Without a value
    nothing standard passes, or nobody says what it must stand.
    """

    device: str
    field: str
    value: float | str | None
    governed_by: str
    needs: Mapping[str, float]
    by_current: float | None = None


@dataclass(frozen=True)
class Chosen:
    """A build whose open fields are filled in, its states, and the choices; `unlisted` are devices of which no
    standard ratings are held.
    """

    network: Network
    states: tuple[State, ...]
    choices: tuple[Choice, ...]
    unlisted: tuple[str, ...] = ()


def choose_devices(network: Network, states: tuple[State, ...], rules: RuleSet) -> Chosen:
    """Return a build with a choice for each field of a device that its description leaves open."""
    open_ = [i for i in network.items.values() if isinstance(i.spec, Choosable) and i.spec.left_open]
    series = {item.id: _standard_a(rules, item) for item in open_}
    unlisted = tuple(item.id for item in open_ if _rating_open(item) and not series[item.id])
    if not open_ or unlisted:
        return Chosen(network, states, (), unlisted)
    poles = [_poles(network, rules, item) for item in open_ if "poles" in _left_open(item)]
    for choice, contacts in poles:
        spec = network.items[choice.device].spec.model_copy(
            update={"poles": choice.value, "contacts": contacts}
        )
        assert isinstance(spec, Inline)  # noqa: S101  (only in-line devices have poles)
        network = with_contacts(network, choice.device, spec)
    values = {item.id: _first(item, series[item.id]) for item in open_}
    choices: tuple[Choice, ...] = ()
    for _ in range(ROUNDS):
        network = with_values(network, values)
        states = tuple(replace(state, network=network) for state in states)
        settled = settle(network, states, rules)
        choices = tuple(
            choice for item in open_ for choice in _choices(settled, network.items[item.id], series[item.id])
        )
        found = {id_: dict(fields) for id_, fields in values.items()}
        for choice in choices:
            found[choice.device][choice.field] = choice.value
        if found == values:
            break
        values = found
    return Chosen(network, states, (*choices, *(choice for choice, _ in poles)))


def with_values(network: Network, values: Mapping[str, Mapping[str, object]]) -> Network:
    """Return a network with fields of its equipment set, by id and field as written."""

    def filled(item: Item) -> Item:
        if item.id not in values:
            return item
        update = {NAMES[field]: value for field, value in values[item.id].items()}
        return replace(item, spec=item.spec.model_copy(update=update))

    return replace(network, items={id_: filled(item) for id_, item in network.items.items()})


def _left_open(item: Item) -> tuple[str, ...]:
    return item.spec.left_open if isinstance(item.spec, Choosable) else ()


def _rating_open(item: Item) -> bool:
    return "rating" in _left_open(item)


def _poles(network: Network, rules: RuleSet, item: Item) -> tuple[Choice, tuple[str, ...]]:
    """Choose the poles of a device through which all conductors pass: every line, and the neutral where the rules or
    a reversible supply ask for it.
    """
    ends = {terminal.rpartition(".")[2] for terminal in item.terminals}
    lines = tuple(c for c in ("L", "L1", "L2") if c in ends)
    if len(lines) > 1:
        return Choice(item.id, "poles", "2P", "two lines", {}), lines
    asked = opens_neutral(network, rules)
    if asked is None or "N" not in ends:
        return Choice(item.id, "poles", "1P", "one line", {}), lines
    check = "reversible" if asked[0] == "single-pole-reversible" else "double pole"
    return Choice(item.id, "poles", "2P", check, {}), (*lines, "N")


def _standard_a(rules: RuleSet, item: Item) -> tuple[float, ...]:
    try:
        return rules.standard_ratings_a(device_name(item.spec))
    except NoRowError:
        return ()


def _first(item: Item, standard: tuple[float, ...]) -> dict[str, object]:
    """Return the smallest of everything, with which the choice begins."""
    return {"rating": standard[0]} if _rating_open(item) else {}


def _choices(settled: Settled, item: Item, standard: tuple[float, ...]) -> tuple[Choice, ...]:
    spec = item.spec
    assert isinstance(spec, Choosable)  # noqa: S101  (asked for by kind)
    found: list[Choice] = []
    if "rating" in spec.left_open:
        found.append(_rating(settled, item, standard))
    if "curve" in spec.left_open and _has_curve(settled, item):
        found.append(_curve(settled, item))
    if "breaking capacity" in spec.left_open:
        found.append(_breaking(settled, item))
    if "dc voltage" in spec.left_open and isinstance(spec, Fuse):
        voltage = published_voltage_v(device_name(spec))
        found += [Choice(item.id, "dc voltage", voltage.value, "published", {})] if voltage else []
    for field, check in (("residual current", "touch"), ("residual type", "residual direct current")):
        if field in spec.left_open:
            found.append(Choice(item.id, field, getattr(spec, NAMES[field]), check, {}))
    return tuple(found)


def _rating(settled: Settled, item: Item, standard: tuple[float, ...]) -> Choice:
    needs = rating_needs(settled.trial, settled.feeding, item, standard)
    check = max(needs, key=lambda name: needs[name])
    value = next((rating for rating in standard if rating >= needs[check]), standard[-1])
    by_current = next((rating for rating in standard if rating >= needs["design current"]), None)
    if needs[check] > standard[-1]:
        check = "no rating"
    elif value == standard[0]:
        check = "least rating"
    elif value == by_current:
        check = "design current"
    return Choice(item.id, "rating", value, check, needs, by_current)


def _has_curve(settled: Settled, item: Item) -> bool:
    """Curves are those of IEC 60898-1: a.c., and not where breakers are made to UL 489."""
    return settled.trial.rules.ratings is None and not is_direct(settled.trial, item)


def _curve(settled: Settled, item: Item) -> Choice:
    """Choose the fastest curve that lets motors start: it needs the least fault current."""
    start = starting_a(settled.trial, item)
    rating = float(getattr(item.spec, "rating_a", 0.0))
    curve = next((c for c in ("B", "C") if instantaneous_band(c).low * rating >= start), "D")
    return Choice(item.id, "curve", curve, "least curve" if curve == "B" else "starting", {"starting": start})


def _breaking(settled: Settled, item: Item) -> Choice:
    """Choose the smallest standard breaking capacity that the greatest fault current does not exceed."""
    trial, name = settled.trial, device_name(item.spec)
    if isinstance(item.spec, Breaker) and trial.rules.ratings:
        name = f"{name}, {trial.rules.name}"
    reached = [
        (feed, origin(trial, settled.notes, feed), terminal)
        for feed in settled.feeding
        if (terminal := entry(trial, feed.tree, item))
    ]
    greatest = faced(trial, reached)[0]
    capacities = [looked.value for looked in published_breaking_capacity(name)]
    if isinstance(item.spec, Fuse):  # one value belongs to the type: there is nothing to choose from
        return Choice(item.id, "breaking capacity", next(iter(capacities), None), "published", {})
    if greatest is None or not capacities:  # some rule sets print no row of breaking capacities
        return Choice(item.id, "breaking capacity", None, "not known", {})
    needs = {"fault current": greatest.current_a}
    value = next((c for c in capacities if c >= greatest.current_a), None)
    check = (
        "no capacity" if value is None else "least capacity" if value == capacities[0] else "fault current"
    )
    return Choice(item.id, "breaking capacity", value or capacities[-1], check, needs)
