"""The two sides of the Atlantic: nominal voltage and frequency, ratings of supplies and outlets, usual cables."""

from dataclasses import dataclass

from asfitted.tables.looked import Looked, looked, rows

#: rule set -> that which stands for it on the other side
COUNTERPART = {
    "IEC 60364": "NFPA 70",
    "BS 7671": "NFPA 70",
    "NFPA 70": "IEC 60364",
    "ISO 13297": "33 CFR 183",
    "33 CFR 183": "ISO 13297",
}
#: rule sets of the side of 120 V
OF_120_V = ("NFPA 70", "33 CFR 183")
#: rule set -> insulation that wiring and flexible cords usually have there (from memory: THHN and hard-service cord,
#: boat cable, H05V-K and H07RN-F)
WIRING = {
    "NFPA 70": ("PVC 90 °C", "EPR 90 °C"),
    "33 CFR 183": ("PVC 105 °C", "EPR 90 °C"),
}
ELSEWHERE = ("PVC 70 °C", "rubber 60 °C")
#: a supply stands for another if it gives as much power, up to this share
SAME_POWER = 0.95


@dataclass(frozen=True)
class Outlet:
    """An outlet of standard rating and the largest cord-and-plug load that it may feed, in A."""

    rating_a: float
    load_a: float
    source: str


@dataclass(frozen=True)
class Side:
    """One side: `supplies` are the ratings of its outlets for vehicles, craft and sites, in A, ascending."""

    name: str
    voltage: Looked
    frequency: Looked
    supplies: tuple[Looked, ...]
    outlets: tuple[Outlet, ...]

    @property
    def voltage_v(self) -> float:
        """Its nominal voltage."""
        return self.voltage.value

    def supply_for(self, power_w: float) -> Looked:
        """Return the smallest rating of a supply that gives a power, or the largest there is."""
        enough = (s for s in self.supplies if s.value * self.voltage_v >= SAME_POWER * power_w)
        return next(enough, self.supplies[-1])

    def outlet_for(self, load_a: float) -> Outlet | None:
        """Return the smallest outlet that may feed an appliance of a current by its cord; None if there is none."""
        return next((outlet for outlet in self.outlets if outlet.load_a >= load_a), None)


def side(name: str) -> Side:
    """Return a side by its name: `230 V` or `120 V`."""
    found = [row for row in rows("sides") if row["side"] == name]

    def of(quantity: str) -> list[Looked]:
        return [looked(row, "value") for row in found if row["quantity"] == quantity]

    return Side(
        name,
        of("voltage")[0],
        of("frequency")[0],
        tuple(of("supply")),
        tuple(Outlet(outlet.value, float(outlet.note), outlet.source) for outlet in of("outlet")),
    )


def side_of(voltage_v: float) -> Side | None:
    """Return the side of a nominal voltage: within 15 % of it; None for any other."""
    sides = (side("230 V"), side("120 V"))
    return next((s for s in sides if abs(voltage_v - s.voltage_v) <= 0.15 * s.voltage_v), None)


def rules_there(rules: str, there: Side) -> str:
    """Return the rule set to which a build held to `rules` is held on a side."""
    return rules if (rules in OF_120_V) == (there.name == "120 V") else COUNTERPART[rules]
