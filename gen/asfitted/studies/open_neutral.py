"""What an open neutral of a split-phase supply does to each load: it lies in series with those of the other line."""

from collections.abc import Iterator

from asfitted.description.kinds import AcSupply
from asfitted.studies.demand_ac import ac_voltage_v
from asfitted.studies.results import Input, Working
from asfitted.studies.trial import Trial


def open_neutral(trial: Trial) -> Iterator[Working]:
    """Yield for each load between a line and neutral of a split-phase supply the highest voltage that it may
    meet: it runs alone on its line while everything on the other one runs. Loads count as resistances.
    """
    lines: dict[tuple[str, str], dict[str, dict[str, float]]] = {}
    for scenario in trial.scenarios:
        spec = trial.network.items[scenario.source].spec
        line, back = scenario.terminals
        if not isinstance(spec, AcSupply) or not spec.split_phase or not back.endswith(".N"):
            continue
        drawn = {i.item: abs(i.current_a) for i in scenario.injections if i.back.endswith(".N")}
        lines.setdefault((scenario.state.id, scenario.source), {})[line] = drawn
    for (_, source), by_line in lines.items():
        voltage_v = ac_voltage_v(trial.network, source)
        for line, loads in by_line.items():
            other_a = sum(a for other, on_it in by_line.items() if other != line for a in on_it.values())
            for item, own_a in loads.items():
                if own_a and other_a:
                    yield _working(item, source, voltage_v, own_a, other_a)


def _working(item: str, source: str, voltage_v: float, own_a: float, other_a: float) -> Working:
    return Working(
        f"{source}–{item}",
        "open_neutral",
        "U_1",
        "2 · U · I_2 / (I_1 + I_2)",
        (
            Input("U", voltage_v, "V", "nominal"),
            Input("I_1", own_a, "A", "loads"),
            Input("I_2", other_a, "A", "loads"),
        ),
        2 * voltage_v * other_a / (own_a + other_a),
        "V",
        "Ohm's law, loads as resistances",
    )
