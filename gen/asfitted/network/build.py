"""From a typed description to the network."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from asfitted.description import schema
from asfitted.description.kinds import (
    AcSupply,
    Adaptor,
    BatteryCharger,
    DcInlet,
    Equipment,
    GalvanicIsolator,
    GfciReceptacle,
    Inline,
    Inverter,
    InverterCharger,
    IsolatingTransformer,
    NeutralBond,
    SupplyInlet,
    TransferSwitch,
)
from asfitted.description.load import Loaded
from asfitted.description.values import Size
from asfitted.network.model import Bond, Cable, Contact, Core, Item, Join, Network

TEMPERATURE_C = {
    "PVC 60 °C": 60.0,
    "PVC 70 °C": 70.0,
    "PVC 75 °C": 75.0,
    "PVC 90 °C": 90.0,
    "PVC 105 °C": 105.0,
    "XLPE 90 °C": 90.0,
    "EPR 90 °C": 90.0,
    "rubber 60 °C": 60.0,
    "silicone 180 °C": 180.0,
}
#: conductors that an in-line device may carry
LIVE = ("L", "L1", "L2", "N", "plus", "minus")
#: taken where the description does not say; the study prints each as an assumption
ASSUMED_INSULATION = "PVC 70 °C"
ASSUMED_METHOD = "clipped"


def build(loaded: Loaded) -> Network:
    """Return the network of a description that was read without problems; ValueError if it was not."""
    description = loaded.description
    if description is None:
        raise ValueError("a description with problems has no network")
    cables = {id_: _cable(id_, cable, loaded) for id_, cable in description.cables.items()}
    links = tuple(Join(a, b) for a, b in description.links)
    used = [end for cable in cables.values() for core in cable.cores for end in (core.a, core.b)]
    used += [end for link in links for end in (link.a, link.b)]
    items: dict[str, Item] = {}
    contacts: list[Contact] = []
    joins: list[Join] = list(links)
    bonds: list[Bond] = []
    for id_, spec in description.equipment.items():
        own = {end for end in used if end == id_ or end.startswith(id_ + ".")}
        if spec.PORTS.get("") == ("*",):
            own.add(id_)
        inner = tuple(_contacts(id_, spec, own))
        same = tuple(_same_metal(id_, spec, own, inner))
        tied = tuple(_bonds(id_, spec))
        terminals = own | {f"{id_}.{name}" for name in spec.REQUIRED if _wanted(spec, name)}
        terminals |= {end for contact in inner for end in (contact.a, contact.b)}
        terminals |= {end for join in same for end in (join.a, join.b)}
        terminals |= {end for bond in tied for end in (bond.neutral, bond.earth) if end.startswith(id_ + ".")}
        items[id_] = Item(id_, spec, tuple(sorted(terminals)), loaded.mark("equipment", id_))
        contacts += inner
        joins += same
        bonds += tied
    return Network(description, items, cables, tuple(contacts), tuple(joins), tuple(bonds))


def with_contacts(network: Network, id_: str, spec: Inline) -> Network:
    """Return a network in which an in-line device has the poles of another specification of it."""
    item = replace(network.items[id_], spec=spec)
    own = set(item.terminals)
    ends = {f"{id_}.{side}.{conductor}" for side in ("in", "out") for conductor in LIVE}
    contacts = [c for c in network.contacts if c.equipment != id_] + list(_contacts(id_, spec, own))
    joins = [j for j in network.joins if not (j.reason == "same metal" and {j.a, j.b} <= ends)]
    joins += _same_metal(id_, spec, own, tuple(c for c in contacts if c.equipment == id_))
    items = {**network.items, id_: item}
    return replace(network, items=items, contacts=tuple(contacts), joins=tuple(joins))


def _wanted(spec: Equipment, name: str) -> bool:
    """A class II or III converter has no earth terminal."""
    return not (name.endswith("PE") and getattr(spec, "safety_class", "I") != "I")


def _cable(id_: str, cable: schema.Cable, loaded: Loaded) -> Cable:
    insulation = cable.insulation or ASSUMED_INSULATION
    size = None if cable.size == "auto" else cable.size
    assert size is None or isinstance(size, Size)  # noqa: S101  (the schema allows nothing else)
    cores = tuple(
        Core(id_, conductor, a, b, (cable.pe_size or size) if conductor == "PE" else size)
        for conductor, (a, b) in cable.cores.items()
    )
    return Cable(
        id=id_,
        kind=cable.kind,
        cores=cores,
        size=size,
        at_least=cable.at_least,
        length_m=cable.length_m,
        insulation=insulation,
        conductor_temp_c=TEMPERATURE_C[insulation],
        method=cable.method or ASSUMED_METHOD,
        bundle=cable.bundle,
        space=cable.space,
        flexible=cable.conductor_class == "class 5" or insulation.startswith(("rubber", "silicone")),
        status=cable.status,
        mark=loaded.mark("cables", id_),
    )


def _contacts(id_: str, spec: Equipment, used: set[str]) -> Iterator[Contact]:
    """Yield the poles of a piece of equipment that can be open."""
    if isinstance(spec, Inline):
        for conductor in spec.contacts:
            yield Contact(id_, conductor, f"{id_}.in.{conductor}", f"{id_}.out.{conductor}")
    elif isinstance(spec, TransferSwitch):
        for position in ("source 1", "source 2"):
            for conductor in ("L", "N") if spec.poles == "2P" else ("L",):
                yield Contact(
                    id_, conductor, f"{id_}.{position}.{conductor}", f"{id_}.out.{conductor}", position
                )
    elif isinstance(spec, SupplyInlet):
        for pin in ("L", "L1", "L2", "N", "PE"):
            if f"{id_}.coupler.{pin}" in used or f"{id_}.pins.{pin}" in used:
                yield Contact(id_, pin, f"{id_}.coupler.{pin}", f"{id_}.pins.{pin}", "plugged")
    elif isinstance(spec, DcInlet):
        for pin in ("plus", "minus"):
            yield Contact(id_, pin, f"{id_}.coupler.{pin}", f"{id_}.pins.{pin}", "plugged")
    elif isinstance(spec, InverterCharger):
        for conductor in ("L", "N") if spec.transfer_poles == "2P" else ("L",):
            yield Contact(id_, conductor, f"{id_}.ac in.{conductor}", f"{id_}.ac out.{conductor}", "source 1")


def _same_metal(id_: str, spec: Equipment, used: set[str], contacts: tuple[Contact, ...]) -> Iterator[Join]:
    """Yield the terminals that are joined inside a piece of equipment whatever is switched."""
    if isinstance(spec, Inline):
        switched = {contact.conductor for contact in contacts}
        for conductor in LIVE:
            ends = (f"{id_}.in.{conductor}", f"{id_}.out.{conductor}")
            if conductor not in switched and any(end in used for end in ends):
                yield Join(*ends, "same metal")
    elif isinstance(spec, TransferSwitch) and spec.poles == "1P":
        for position in ("source 1", "source 2"):
            yield Join(f"{id_}.{position}.N", f"{id_}.out.N", "same metal")
    elif isinstance(spec, InverterCharger):
        earths = [f"{id_}.ac in.PE", f"{id_}.ac out.PE", f"{id_}.PE"]
        for a, b in pairwise(earths):
            yield Join(a, b, "same metal")
        if spec.transfer_poles == "1P":
            yield Join(f"{id_}.ac in.N", f"{id_}.ac out.N", "same metal")
    elif isinstance(spec, GfciReceptacle) and any(end.startswith(f"{id_}.load.") for end in used):
        for conductor in ("L", "N", "PE"):
            yield Join(f"{id_}.{conductor}", f"{id_}.load.{conductor}", "same metal")
    elif isinstance(spec, Adaptor):
        for conductor in ("L", "L1", "L2", "N", "PE"):
            if f"{id_}.in.{conductor}" in used or f"{id_}.out.{conductor}" in used:
                yield Join(f"{id_}.in.{conductor}", f"{id_}.out.{conductor}", "same metal")
    elif isinstance(spec, GalvanicIsolator):
        # For fault currents its diodes conduct; what they block is the business of the fault study.
        yield Join(f"{id_}.in.PE", f"{id_}.out.PE", "same metal")
    elif isinstance(spec, IsolatingTransformer) and spec.shore_earth == "continues":
        yield Join(f"{id_}.primary.PE", f"{id_}.secondary.PE", "same metal")


def _bonds(id_: str, spec: Equipment) -> Iterator[Bond]:
    """Yield the ties between neutral and earth inside sources."""
    if isinstance(spec, AcSupply):
        if spec.earthing != "IT":
            yield Bond(id_, f"{id_}.N", f"{id_}.PE")
        return
    bond = getattr(spec, "neutral_bond", None)
    if not isinstance(bond, NeutralBond) or bond.kind == "none":
        return
    neutral = f"{id_}.{_output_port(spec)}N"
    earth = f"{id_}.{_output_port(spec)}PE" if bond.lands_on == "own earth terminal" else bond.lands_on
    yield Bond(id_, neutral, earth, "always" if bond.kind == "fixed" else "inverting")


def _output_port(spec: Equipment) -> str:
    if isinstance(spec, InverterCharger):
        return "ac out."
    return "secondary." if isinstance(spec, IsolatingTransformer) else ""


def output_terminals(item: Item) -> tuple[str, str] | None:
    """Return the line and neutral terminals at which an item is a source of a.c., or None.

    A split-phase supply is represented by its first line.
    """
    spec = item.spec
    if isinstance(spec, AcSupply):
        line = next((c for c in ("L", "L1") if f"{item.id}.{c}" in item.terminals), "L")
        return f"{item.id}.{line}", f"{item.id}.N"
    if isinstance(spec, Inverter | IsolatingTransformer) or item.kind == "generator":
        port = _output_port(spec)
        return f"{item.id}.{port}L", f"{item.id}.{port}N"
    return None


def output_lines(item: Item) -> tuple[str, ...]:
    """Return the line terminals at which an item is a source of a.c.: two for a split-phase supply."""
    ends = output_terminals(item)
    if ends is None:
        return ()
    second = f"{item.id}.L2"
    return (ends[0], second) if isinstance(item.spec, AcSupply) and second in item.terminals else (ends[0],)


def input_terminals(item: Item) -> tuple[str, str] | None:
    """Return the line and neutral terminals at which an item consumes a.c., or None."""
    if item.kind in ("sockets", "GFCI receptacle", "load") or isinstance(item.spec, BatteryCharger):
        line = next((c for c in ("L", "L1", "L2") if f"{item.id}.{c}" in item.terminals), None)
        other = "N" if f"{item.id}.N" in item.terminals else "L2"
        return (f"{item.id}.{line}", f"{item.id}.{other}") if line else None
    if isinstance(item.spec, InverterCharger):
        return f"{item.id}.ac in.L", f"{item.id}.ac in.N"
    return None
