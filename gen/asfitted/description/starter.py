"""The description that `asfitted new` writes: commented, planned throughout, sound from the first reading.

The text is the template `words/starter.yaml.jinja`; here are the first guesses at ratings that it is filled
with.
"""

import datetime
from itertools import count

import jinja2

from asfitted import words
from asfitted.description.answers import (
    MOBILE,
    AnswerError,
    Answers,
    CircuitAnswer,
    check_inverter,
    check_supply,
    id_of,
    read_battery,
)
from asfitted.description.dump import text_of
from asfitted.resources import site_src

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
_DC_FUSES_A = (3, 6, 10, 15, 20, 25, 30, 40, 50, 60)
_BATTERY_FUSES_A = (30, 60, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400, 450, 500, 600)
_ISOLATORS_A = (100, 150, 300, 450, 600)
_MAIN_SWITCHES_A = (25, 40, 63, 80, 100)
_CHANGEOVERS_A = (16, 25, 32, 40, 63, 100)
#: battery fuse up to so many amperes -> conductor to the inverter's case that outlasts it, mm² and AWG
_CASE_CONDUCTORS = (
    (60, "16 mm²", "4 AWG"), (100, "25 mm²", "2 AWG"), (150, "35 mm²", "1 AWG"), (200, "50 mm²", "1/0 AWG"),
    (300, "70 mm²", "3/0 AWG"), (400, "95 mm²", "4/0 AWG"), (600, "120 mm²", "4/0 AWG"),
)  # fmt: skip
_CHARGERS_A = (10, 15, 20, 25, 30, 40, 50, 60, 80)
#: names in the template; a circuit of the same name gets a number
_TAKEN = (
    "site", "inlet", "changeover", "charger", "inverter", "battery", "body", "hull", "metalwork",
    "s_line", "s_neutral", "main_switch", "l_bar", "n_bar", "earth_bar", "dc_plus", "dc_minus",
)  # fmt: skip
_MOST_CIRCUITS = 39
_MARGIN = 1.25  # of a device's rated current over the current of a load that lasts
_EFFICIENCY = 0.9


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
    us = answers.region == "North America"
    supply_a = check_supply(answers.supply)
    battery = read_battery(answers.battery)
    inverter_w = check_inverter(answers.inverter)
    charger_a = _next(_CHARGERS_A, min(battery.capacity_ah / 10, _CHARGERS_A[-1]))
    dc_load_a = sum(circuit.power_w for circuit in answers.dc) / battery.system_v
    battery_a = max(
        (inverter_w / (_EFFICIENCY * battery.system_v) + dc_load_a) * _MARGIN, charger_a * _MARGIN
    )
    too_much = AnswerError("inverter", answers.inverter, words.text("new", "too much for the battery"))
    battery_fuse_a = _next(_BATTERY_FUSES_A, battery_a, too_much)
    taken = set(_TAKEN)
    ac_rows = [
        _row(circuit, 11 + n, devices_a, circuit.power_w / ac_v, taken)
        for n, circuit in enumerate(answers.ac)
    ]
    dc_rows = [
        _row(circuit, 51 + n, _DC_FUSES_A, circuit.power_w / battery.system_v * _MARGIN, taken)
        for n, circuit in enumerate(answers.dc)
    ]
    case = next(row for row in _CASE_CONDUCTORS if battery_fuse_a <= row[0])
    rules = _BOAT_RULES if answers.setting == "boat" else _RULES
    mobile = answers.setting in MOBILE
    return {
        "answers": answers,
        "battery": battery,
        "us": us,
        "mobile": mobile,
        "supply_board": "inlet board" if mobile else "main board",
        "structure": {"boat": "hull", "cabin": "metalwork", "house": "metalwork"}.get(
            answers.setting, "body"
        ),
        "rules": rules[answers.region],
        "ac_v": ac_v,
        "frequency_hz": _FREQUENCY_HZ[answers.region],
        "supply_a": _number(supply_a),
        "socket_a": _SOCKET_A[answers.region],
        "has_inverter": inverter_w > 0,
        "main_switch_a": _number(_next(_MAIN_SWITCHES_A, supply_a)),
        "inverter_device_a": _number(_next(devices_a, inverter_w / ac_v, too_much)),
        "transfer_a": _number(_next(_CHANGEOVERS_A, max(supply_a, inverter_w / ac_v), too_much)),
        "discharge_limit_a": _number(battery.capacity_ah if battery.lithium else battery.capacity_ah / 2),
        "resistance_mohm": (round(battery.voltage_v / 6.4), round(battery.voltage_v / 2.1)),
        "battery_fuse_a": _number(battery_fuse_a),
        "isolator_a": _number(_next(_ISOLATORS_A, battery_fuse_a)),
        "isolator_v": 32 if battery.highest_v < 32 else 60,
        "case": case[2] if us else case[1],
        "least_ac": "12 AWG" if us else "2.5 mm²",
        "charger_a": _number(charger_a),
        "charger_fuse_a": _number(_next((15, 20, 30, 40, 50, 60, 80, 100), charger_a * _MARGIN)),
        "charger_device_a": _number(_next(devices_a, charger_a * battery.highest_v / _EFFICIENCY / ac_v)),
        "ac_rows": ac_rows,
        "dc_rows": dc_rows,
        "loads": list(dict.fromkeys(circuit.load for circuit in (*answers.ac, *answers.dc))),
        "length": _us_length if us else "{} m".format,
    }


def _row(
    circuit: CircuitAnswer, number: int, ratings: tuple[float, ...], current_a: float, taken: set[str]
) -> dict[str, object]:
    """Return what the template needs of one circuit; its id is one that is not `taken`, and is taken then."""
    wanted = id_of(circuit.name)
    id_ = next(name for n in count(1) if (name := wanted if n == 1 else f"{wanted}_{n}") not in taken)
    taken.add(id_)
    too_much = AnswerError(circuit.name, circuit.power, words.text("new", "too much for a circuit"))
    device_a = _number(_next(ratings, current_a, too_much))
    return {"number": number, "id": id_, "circuit": circuit, "device_a": device_a}


def _us_length(metres: float) -> str:
    return f"{round(metres / 0.3048)} ft" if metres > 0.5 else f"{round(metres / 0.0254)} in"


def _next(ratings: tuple[float, ...], value: float, none: AnswerError | None = None) -> float:
    """Return the smallest rating that is not below a value; if there is none, raise what is given for that, else
    return the largest.
    """
    found = next((rating for rating in ratings if rating >= value), None)
    if found is None and none is not None:
        raise none
    return found or ratings[-1]


def _number(value: float) -> str:
    return f"{value:g}"
