"""What safety leans on and nobody has proved yet: the fields of equipment, each with its basis and its proof."""

from collections.abc import Iterator
from dataclasses import dataclass

from asfitted.description.kinds import AcSupply, Equipment, TransferSwitch
from asfitted.description.values import Claim as Figure
from asfitted.network.model import Item, Network

#: fields as written -> name in the model; an inspector believes none of them unseen
LEANS_ON = {
    "breaking capacity": "breaking_capacity_a",
    "let-through": "let_through_a2s",
    "energy class": "energy_class",
    "dc voltage": "dc_voltage_v",
    "residual current": "residual_a",
    "residual type": "residual_type",
    "poles": "poles",
    "transfer poles": "transfer_poles",
    "to source 1": "to_source_1",
    "to source 2": "to_source_2",
    "break before make": "break_before_make",
    "output limit": "output_limit",
    "isolation": "isolation",
    "minus to case": "minus_to_case",
    "neutral bond": "neutral_bond",
    "internal resistance": "internal_resistance",
    "discharge limit": "discharge_limit",
    "charge cut-off below": "charge_cut_off_below_c",
    "loop impedance": "loop_impedance_max_ohm",
    "prospective fault current": "fault_current_max_a",
    "array voltage": "array_voltage_v",
    "certified to": "certified_to",
}
_STRENGTH = ("", "claimed", "plate", "data sheet", "measured")


@dataclass(frozen=True)
class Claim:
    """A field that safety leans on: its basis (empty if nobody says) and its proof (empty if there is none)."""

    item: str
    field: str
    basis: str
    proof: str

    @property
    def proved(self) -> bool:
        """Whether something shows it: measured, or a proof that others can look at."""
        return self.basis == "measured" or bool(self.proof)


def claims(network: Network) -> tuple[Claim, ...]:
    """Return every field of equipment that safety leans on, in the order of the description."""
    return tuple(claim for item in network.items.values() for claim in _of(item))


def _of(item: Item) -> Iterator[Claim]:
    spec = item.spec
    for field, name in LEANS_ON.items():
        value = getattr(spec, name, None)
        if value is None or value == "none":
            continue
        given = spec.evidence.get(field)
        basis = given.basis if given else _own_basis(spec, field, value)
        yield Claim(item.id, field, basis, (given.proof or "") if given else "")


def _own_basis(spec: Equipment, field: str, value: object) -> str:
    """Return the basis that a field carries in itself: transfer times, break before make, the maker's word on a
    bond.
    """
    if isinstance(value, tuple) and value and isinstance(value[0], Figure):
        bases = [str(figure.basis) for figure in value]
        return max(bases, key=_STRENGTH.index)
    if field == "break before make" and isinstance(spec, TransferSwitch):
        return "" if spec.break_before_make == "no" else str(spec.break_before_make)
    if field == "neutral bond":
        allowed = getattr(value, "allowed_by_maker", "not stated")
        return "data sheet" if allowed == "data sheet" else ""
    if isinstance(spec, AcSupply) and field in ("loop impedance", "prospective fault current"):
        return "claimed"  # a bound given for a site that is not ours
    return ""
