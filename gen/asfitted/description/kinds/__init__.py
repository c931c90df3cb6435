"""The closed list of kinds of equipment: their terminals, fields, and the words of their short forms.

A kind is a pydantic model of its long form. Class variables say what a model cannot: its terminals and its
tokens.
"""

from typing import Annotated

from pydantic import Field

from asfitted.description.kinds.base import (
    AC,
    DC,
    LIVE_AC,
    SHOCK_CLASS,
    STATUS,
    Choosable,
    Class,
    Earthing,
    Equipment,
    Inline,
    Status,
    field,
    field_names,
)
from asfitted.description.kinds.earthing import Busbar, EarthBar, EarthElectrode, GalvanicIsolator, Structure
from asfitted.description.kinds.loads import GfciReceptacle, Load, LoadItem, Sockets
from asfitted.description.kinds.sources import (
    AcSupply,
    Adaptor,
    Generator,
    Inverter,
    InverterCharger,
    IsolatingTransformer,
    NeutralBond,
    SiteVariant,
    SupplyInlet,
)
from asfitted.description.kinds.storage import (
    Alternator,
    Battery,
    BatteryCharger,
    DcDcCharger,
    DcInlet,
    DcSupply,
    SolarArray,
    SolarController,
)
from asfitted.description.kinds.switching import (
    Breaker,
    Contactor,
    Fuse,
    GfciBreaker,
    Isolator,
    Meter,
    Rcbo,
    Rcd,
    SelectorSwitch,
    TransferSwitch,
)

KINDS: dict[str, type[Equipment]] = {
    kind.KIND: kind
    for kind in (
        AcSupply, Generator, Inverter, InverterCharger, TransferSwitch, SelectorSwitch, Contactor, Breaker,
        Fuse, Rcd, Rcbo, GfciBreaker, GfciReceptacle, Isolator, Busbar, EarthBar, Sockets, Load, Battery,
        BatteryCharger, DcDcCharger, Alternator, SolarArray, SolarController, Meter, GalvanicIsolator,
        IsolatingTransformer, EarthElectrode, Structure, SupplyInlet, Adaptor, DcSupply, DcInlet,
    )
}  # fmt: skip

AnyEquipment = Annotated[
    AcSupply | Generator | Inverter | InverterCharger | TransferSwitch | SelectorSwitch | Contactor
    | Breaker | Fuse | Rcd | Rcbo | GfciBreaker | GfciReceptacle | Isolator | Busbar | EarthBar | Sockets
    | Load | Battery
    | BatteryCharger | DcDcCharger | Alternator | SolarArray | SolarController | Meter | GalvanicIsolator
    | IsolatingTransformer | EarthElectrode | Structure | SupplyInlet | Adaptor | DcSupply | DcInlet,
    Field(discriminator="kind"),
]  # fmt: skip

__all__ = [
    "AC",
    "DC",
    "KINDS",
    "LIVE_AC",
    "SHOCK_CLASS",
    "STATUS",
    "AcSupply",
    "Adaptor",
    "Alternator",
    "AnyEquipment",
    "Battery",
    "BatteryCharger",
    "Breaker",
    "Busbar",
    "Choosable",
    "Class",
    "Contactor",
    "DcDcCharger",
    "DcInlet",
    "DcSupply",
    "EarthBar",
    "EarthElectrode",
    "Earthing",
    "Equipment",
    "Fuse",
    "GalvanicIsolator",
    "Generator",
    "GfciBreaker",
    "GfciReceptacle",
    "Inline",
    "Inverter",
    "InverterCharger",
    "IsolatingTransformer",
    "Isolator",
    "Load",
    "LoadItem",
    "Meter",
    "NeutralBond",
    "Rcbo",
    "Rcd",
    "SelectorSwitch",
    "SiteVariant",
    "Sockets",
    "SolarArray",
    "SolarController",
    "Status",
    "Structure",
    "SupplyInlet",
    "TransferSwitch",
    "field",
    "field_names",
]
