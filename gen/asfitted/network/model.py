"""The network: terminals, cores, contacts and joins of a build, before any operating state is chosen.

A terminal is named `equipment.port.conductor`, without the port where there is only one; bars, electrodes and the
structure are one terminal each, named like the equipment.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from asfitted.description.kinds import Equipment as Spec
from asfitted.description.marks import Mark
from asfitted.description.schema import Description
from asfitted.description.values import Size
from asfitted.network.potentials import Potentials

CableKind = Literal["ac", "dc", "plus", "minus", "earth", "bond", "L", "N"]
Conductor = Literal["L", "L1", "L2", "N", "PE", "plus", "minus"]
LIVE_AC = frozenset({"L", "L1", "L2", "N"})
LINE = frozenset({"L", "L1", "L2"})


@dataclass(frozen=True)
class Core:
    """One conductor of a cable, from terminal `a` to terminal `b` as described; `size` is None while `auto`."""

    cable: str
    conductor: str
    a: str
    b: str
    size: Size | None

    @property
    def id(self) -> str:
        """`cable.conductor`."""
        return f"{self.cable}.{self.conductor}"


@dataclass(frozen=True)
class Cable:
    """A cable as laid: one or more cores of the same length along the same way.

    `automatic` says that its size was chosen by the program and not by the builder.
    """

    id: str
    kind: CableKind
    cores: tuple[Core, ...]
    size: Size | None
    at_least: Size | None
    length_m: float
    insulation: str
    conductor_temp_c: float
    method: str
    bundle: str | None
    space: str | None
    flexible: bool
    status: str
    mark: Mark
    automatic: bool = False

    @property
    def live(self) -> tuple[Core, ...]:
        """The cores that carry load current."""
        return tuple(core for core in self.cores if core.conductor != "PE")

    @property
    def planned(self) -> bool:
        """Whether the cable is not there yet."""
        return self.status == "planned"


@dataclass(frozen=True)
class Item:
    """A piece of equipment: its typed description and its terminals."""

    id: str
    spec: Spec
    terminals: tuple[str, ...]
    mark: Mark

    @property
    def kind(self) -> str:
        """The kind as written in a description."""
        return self.spec.KIND

    @property
    def board(self) -> str | None:
        """The board it sits in."""
        return self.spec.board

    @property
    def planned(self) -> bool:
        """Whether the equipment is not there yet."""
        return self.spec.status == "planned"

    @property
    def name(self) -> str:
        """The id in words: `reading_desk` reads "reading desk"."""
        return self.id.replace("_", " ")


@dataclass(frozen=True)
class Contact:
    """A pole that can be open: which equipment, which conductor, between which terminals.

    `position` is the position of a transfer switch in which this pole is closed, or empty.
    """

    equipment: str
    conductor: str
    a: str
    b: str
    position: str = ""


@dataclass(frozen=True)
class Join:
    """Two terminals that are one potential whatever is switched: bolted together, or the same metal inside equipment."""

    a: str
    b: str
    reason: Literal["bolted", "same metal"] = "bolted"


@dataclass(frozen=True)
class Bond:
    """A tie between a neutral terminal and earth: inside a source, or a conductor of kind `bond`.

    `when` says in which condition it is closed: always, or only while its source inverts.
    """

    equipment: str
    neutral: str
    earth: str
    when: Literal["always", "inverting"] = "always"


@dataclass(frozen=True)
class Network:
    """All of the build as a graph."""

    description: Description
    items: dict[str, Item]
    cables: dict[str, Cable]
    contacts: tuple[Contact, ...]
    joins: tuple[Join, ...]
    bonds: tuple[Bond, ...]

    @cached_property
    def cores(self) -> dict[str, Core]:
        """Every core by its id."""
        return {core.id: core for cable in self.cables.values() for core in cable.cores}

    @cached_property
    def owner(self) -> dict[str, str]:
        """Terminal -> id of its equipment."""
        return {terminal: item.id for item in self.items.values() for terminal in item.terminals}

    @cached_property
    def earths(self) -> frozenset[str]:
        """The equipment that is earth as a whole: earth bars, electrodes, the structure."""
        return frozenset(item.id for item in self.of_kind("earth bar", "structure", "earth electrode"))

    @cached_property
    def live_cores(self) -> dict[str, Core]:
        """The cores that carry load, by their ids: neither protective nor a tie between neutral and earth.

        A d.c. core that lands on the structure is live: many vehicles return through it.
        """
        return {
            id_: core
            for id_, core in self.cores.items()
            if core.conductor in ("plus", "minus")
            or not (core.conductor in ("PE", "bond") or self.is_earth(core.a) or self.is_earth(core.b))
        }

    @cached_property
    def live_joins(self) -> tuple[Join, ...]:
        """The joins that are no part of the earth."""
        return tuple(join for join in self.joins if not (self.is_earth(join.a) or self.is_earth(join.b)))

    def is_earth(self, terminal: str) -> bool:
        """Tell whether a terminal belongs to the protective side: an earth terminal, bar, electrode or the structure."""
        return terminal.endswith(".PE") or self.owner[terminal] in self.earths

    @cached_property
    def inlets_of(self) -> dict[str, tuple[str, ...]]:
        """Each a.c. supply -> the inlets through which it can be unplugged."""
        pairs = [(core.a, core.b) for core in self.live_cores.values()]
        pairs += [(join.a, join.b) for join in self.live_joins]
        pairs += [(c.a, c.b) for c in self.contacts if c.position == "" and c.conductor != "PE"]
        outside = Potentials(pairs)
        return {
            supply.id: tuple(
                inlet.id
                for inlet in self.of_kind("supply inlet")
                if any(
                    outside.same(f"{supply.id}.{conductor}", f"{inlet.id}.coupler.{conductor}")
                    for conductor in ("L", "L1", "N")
                )
            )
            for supply in self.of_kind("ac supply")
        }

    @cached_property
    def plus_closed(self) -> Potentials:
        """Terminals joined through plus conductors with every contact closed."""
        pairs = [(core.a, core.b) for core in self.cores.values() if core.conductor == "plus"]
        pairs += [(join.a, join.b) for join in self.joins]
        pairs += [(c.a, c.b) for c in self.contacts if c.conductor == "plus"]
        return Potentials(pairs)

    def of_kind(self, *kinds: str) -> tuple[Item, ...]:
        """Return the items of the given kinds, in the order of the description."""
        return tuple(item for item in self.items.values() if item.kind in kinds)
