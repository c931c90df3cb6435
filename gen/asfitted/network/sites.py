"""The places where a supply is met: as described, at each of the described places, and with what
may be wrong there.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from asfitted.description.kinds import AcSupply
from asfitted.network.model import Network


@dataclass(frozen=True)
class Site:
    """A supply as it is at one place. `name` is empty for the supply as described.

    `spec` is the description with the differences of the place laid over it. The rest is what may be wrong:
    `reversed_` polarity, `line_to_line` (both conductors live against earth), `earthed` false where the
    outlet has no protective conductor. `ashore`: a boat stands on dry ground while it is plugged in there, its
    hull parted from earth.
    """

    supply: str
    spec: AcSupply
    name: str = ""
    reversed_: bool = False
    line_to_line: bool = False
    earthed: bool = True
    ashore: bool = False

    @property
    def id(self) -> str:
        """The name of the place, with what is wrong there."""
        wrong = [
            word
            for word, holds in (
                ("reversed", self.reversed_),
                ("line to line", self.line_to_line),
                ("no protective conductor", not self.earthed),
                ("ashore", self.ashore),
            )
            if holds
        ]
        return ", ".join(part for part in (self.name, *wrong) if part)


def described_sites(network: Network) -> tuple[Site, ...]:
    """Return each supply as described and at each place described for it, also reversed where that may be."""
    return tuple(site for item in network.of_kind("ac supply") for site in _of(item.id, item.spec))  # type: ignore[arg-type]


def _of(supply: str, spec: AcSupply) -> Iterator[Site]:
    as_described = Site(supply, spec)
    yield as_described
    if spec.polarity == "may be reversed":
        yield replace(as_described, reversed_=True)
    for name, variant in spec.at.items():
        given = {field: value for field in type(variant).model_fields if (value := getattr(variant, field))}
        site = Site(supply, spec.model_copy(update=given), name)
        yield site
        if site.spec.polarity == "may be reversed" and spec.polarity != "may be reversed":
            yield replace(site, reversed_=True)
