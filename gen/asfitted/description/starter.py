"""The description that `asfitted new` writes: commented, planned throughout, sound from the first reading.

The text is the template `words/starter.yaml.jinja`; here are the first guesses at ratings that it is filled
with.
"""

import datetime
import re
from dataclasses import dataclass
from itertools import count
from typing import Literal

import jinja2

from asfitted.description.dump import text_of
from asfitted.description.units import QuantityError, parse
from asfitted.resources import site_src

Region = Literal["Europe", "United Kingdom", "North America"]
Setting = Literal["road vehicle", "trailer", "boat", "cabin", "house"]

_RULES = {"Europe": "IEC 60364", "United Kingdom": "BS 7671", "North America": "NFPA 70"}
_BOAT_RULES = {"Europe": "ISO 13297", "United Kingdom": "ISO 13297", "North America": "33 CFR 183"}
_AC_V = {"Europe": 230, "United Kingdom": 230, "North America": 120}
_FREQUENCY_HZ = {"Europe": 50, "United Kingdom": 50, "North America": 60}
_SOCKET_A = {"Europe": 16, "United Kingdom": 13, "North America": 15}
# Rated currents that are sold; sources of the rows are in the tables of the rule sets.
_AC_DEVICES_A = {
    "Europe": (6, 10, 13, 16, 20, 25, 32, 40, 50, 63),
    "United Kingdom": (6, 10, 16, 20, 32, 40, 50, 63),
    "North America": (15, 20, 25, 30, 40, 50, 60),
}
_DC_FUSES_A = (3, 5, 7.5, 10, 15, 20, 25, 30)
_BATTERY_FUSES_A = (30, 60, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400)
_CHARGERS_A = (10, 15, 20, 25, 30, 40, 50, 60, 80)
#: names in the template; a circuit of the same name gets a number
_TAKEN = (
    "site", "inlet", "changeover", "charger", "inverter", "battery", "body", "hull", "metalwork",
    "s_line", "s_neutral", "l_bar", "n_bar", "earth_bar", "dc_plus", "dc_minus",
)  # fmt: skip
_MOST_CIRCUITS = 39
_MARGIN = 1.25  # of a device's rated current over the current of a load that lasts
_EFFICIENCY = 0.9
_CHEMISTRY = r"LiFePO4|lead-acid flooded|lead-acid AGM|lead-acid gel"
#: lowest and highest voltage as a share of the nominal one
_VOLTAGE_SHARES = {"LiFePO4": (0.94, 1.11), "lead-acid": (0.92, 1.2)}


class AnswerError(ValueError):
    """An answer that cannot be used; `question` and `answer` name it."""

    def __init__(self, question: str, answer: str) -> None:
        super().__init__(f"{question}: {answer}")
        self.question = question
        self.answer = answer


@dataclass(frozen=True)
class CircuitAnswer:
    """One circuit: its name, and the load on it with its power."""

    name: str
    load: str
    power: str

    @classmethod
    def read(cls, question: str, text: str) -> "CircuitAnswer":
        """Read `kitchen=kettle 1 kW`; raises AnswerError."""
        match = re.fullmatch(r"([^=]+)=\s*(.+?)\s+(\d[\d.]*\s?k?W)\s*", text)
        if not match or not _id(match[1]):
            raise AnswerError(question, text)
        return cls(match[1].strip(), match[2], match[3])


@dataclass(frozen=True)
class Answers:
    """What a builder knows at the start; as it stands, a road vehicle at 230 V in Europe."""

    setting: Setting = "road vehicle"
    region: Region = "Europe"
    supply: str = "16 A"
    inverter: str = "1.6 kW"
    battery: str = "LiFePO4 25.6 V 200 Ah"
    ac: tuple[CircuitAnswer, ...] = (CircuitAnswer("kitchen", "kettle", "1 kW"),)
    dc: tuple[CircuitAnswer, ...] = (CircuitAnswer("lamps", "ceiling lamps", "48 W"),)
    title: str = ""
    reference: str = "B-1"


def starter(answers: Answers, date: str = "", schema: str = "") -> str:
    """Return the description to start from; `date` is that of the first issue (today), `schema` a path for
    editors.

    Raises AnswerError for a supply, an inverter or a battery that cannot be read.
    """
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(site_src() / "words"),
        undefined=jinja2.StrictUndefined,
        autoescape=False,  # noqa: S701  (it is YAML; every answer goes through the filter `quoted`)
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["quoted"] = text_of
    return environment.get_template("starter.yaml.jinja").render(
        date=date or datetime.date.today().isoformat(), schema=schema, **_fields(answers)
    )


def _fields(answers: Answers) -> dict[str, object]:
    if not answers.ac or max(len(answers.ac), len(answers.dc)) > _MOST_CIRCUITS:
        raise AnswerError("circuits", str(max(len(answers.ac), len(answers.dc))))
    ac_v = _AC_V[answers.region]
    devices_a = _AC_DEVICES_A[answers.region]
    supply_a = _quantity("supply", answers.supply, "current")
    chemistry, nominal_v, capacity_ah = _battery(answers.battery)
    system_v = 12 if nominal_v < 18 else 24 if nominal_v < 36 else 48
    inverter_w = 0.0 if answers.inverter == "none" else _quantity("inverter", answers.inverter, "power")
    charger_a = _next(_CHARGERS_A, capacity_ah / 10)
    dc_load_a = sum(_watts(circuit) for circuit in answers.dc) / system_v
    lowest, highest = _VOLTAGE_SHARES["LiFePO4" if chemistry == "LiFePO4" else "lead-acid"]
    battery_a = (inverter_w / (_EFFICIENCY * system_v) + dc_load_a) * _MARGIN
    taken = set(_TAKEN)
    ac_rows = [
        _row(circuit, 11 + n, devices_a, _watts(circuit) / ac_v, taken)
        for n, circuit in enumerate(answers.ac)
    ]
    dc_rows = [
        _row(circuit, 51 + n, _DC_FUSES_A, _watts(circuit) / system_v * _MARGIN, taken)
        for n, circuit in enumerate(answers.dc)
    ]
    rules = _BOAT_RULES if answers.setting == "boat" else _RULES
    return {
        "answers": answers,
        "us": answers.region == "North America",
        "mobile": answers.setting in ("road vehicle", "trailer", "boat"),
        "structure": {"boat": "hull", "cabin": "metalwork", "house": "metalwork"}.get(
            answers.setting, "body"
        ),
        "rules": rules[answers.region],
        "ac_v": ac_v,
        "frequency_hz": _FREQUENCY_HZ[answers.region],
        "supply_a": _number(supply_a),
        "socket_a": _SOCKET_A[answers.region],
        "has_inverter": inverter_w > 0,
        "inverter_device_a": _number(_next(devices_a, inverter_w / ac_v)),
        "transfer_a": _number(_next((16, 25, 32, 40, 63, 100), max(supply_a, inverter_w / ac_v))),
        "system_v": system_v,
        "lowest_v": f"{nominal_v * lowest:.1f}",
        "highest_v": f"{nominal_v * highest:.1f}",
        "lithium": chemistry == "LiFePO4",
        "discharge_limit_a": _number(capacity_ah if chemistry == "LiFePO4" else capacity_ah / 2),
        "resistance_mohm": (round(nominal_v / 6.4), round(nominal_v / 2.1)),
        "battery_fuse_a": _number(_next(_BATTERY_FUSES_A, max(battery_a, charger_a * _MARGIN))),
        "charger_a": _number(charger_a),
        "charger_fuse_a": _number(_next((15, 20, 30, 40, 50, 60, 80, 100), charger_a * _MARGIN)),
        "charger_device_a": _number(_next(devices_a, charger_a * nominal_v * highest / _EFFICIENCY / ac_v)),
        "ac_rows": ac_rows,
        "dc_rows": dc_rows,
        "loads": list(dict.fromkeys(circuit.load for circuit in (*answers.ac, *answers.dc))),
        "length": _us_length if answers.region == "North America" else "{} m".format,
    }


def _row(
    circuit: CircuitAnswer, number: int, ratings: tuple[float, ...], current_a: float, taken: set[str]
) -> dict[str, object]:
    """Return what the template needs of one circuit; its id is one that is not `taken`, and is taken then."""
    wanted = _id(circuit.name)
    id_ = next(name for n in count(1) if (name := wanted if n == 1 else f"{wanted}_{n}") not in taken)
    taken.add(id_)
    return {"number": number, "id": id_, "circuit": circuit, "device_a": _number(_next(ratings, current_a))}


def _us_length(metres: float) -> str:
    return f"{round(metres / 0.3048)} ft" if metres > 0.5 else f"{round(metres / 0.0254)} in"


def _battery(text: str) -> tuple[str, float, float]:
    """Read `LiFePO4 25.6 V 200 Ah` into chemistry, volts, ampere-hours."""
    match = re.fullmatch(rf"\s*({_CHEMISTRY})\s+(\S+\s?V)\s+(\S+\s?Ah)\s*", text)
    if not match:
        raise AnswerError("battery", text)
    return match[1], _quantity("battery", match[2], "voltage"), _quantity("battery", match[3], "charge")


def _quantity(question: str, text: str, dimension: str) -> float:
    try:
        return parse(text, dimension)
    except QuantityError:
        raise AnswerError(question, text) from None


def _watts(circuit: CircuitAnswer) -> float:
    return _quantity(circuit.name, circuit.power, "power")


def _next(ratings: tuple[float, ...], value: float) -> float:
    """Return the smallest rating that is not below a value; the largest if none is."""
    return next((rating for rating in ratings if rating >= value), ratings[-1])


def _number(value: float) -> str:
    return f"{value:g}"


def _id(name: str) -> str:
    """Return a name as an id: "tea corner" becomes `tea_corner`; empty if nothing is left."""
    words = re.findall(r"[A-Za-z0-9]+", name)
    joined = "_".join(words)[:36]
    return joined if joined[:1].isalpha() else ""
