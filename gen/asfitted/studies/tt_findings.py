"""TT systems: what the build's own earth electrode must hold, by RA × IΔn ≤ 50 V (IEC 60364-4-41 411.5.3)."""

from collections.abc import Iterator

from asfitted.studies.electrodes import TOUCH_LIMIT_V, fixed_tt
from asfitted.studies.loops import LoopResult
from asfitted.studies.results import Assumption, Finding, Grade, Input, Limit, Working
from asfitted.studies.trial import Trial


def tt_notes(trial: Trial, loop: LoopResult) -> Iterator[Working | Finding | Assumption]:
    """Yield for an outlet on a TT system its working, what is wrong with its electrode or missing, and what
    was assumed.
    """
    network, electrode = trial.network, loop.electrode
    clause = trial.rules.clause("TT electrode")
    if electrode is None:
        metal = f"{loop.outlet}.PE" in network.items[loop.outlet].terminals
        if metal and not loop.site and fixed_tt(network, loop.source):
            joined = "tt-electrode-not-joined" if network.of_kind("earth electrode") else "tt-no-electrode"
            fields: dict[str, object] = {"source": loop.source}
            mark = network.items[loop.source].mark
            yield Finding(joined, Grade.POTENTIAL, (loop.source,), mark, (loop.state,), fields, clause)
        return
    if electrode.neutral_assumed:
        given: dict[str, object] = {"value": electrode.neutral_ohm}
        yield Assumption("neutral-electrode", (loop.source,), given, "from memory")
    if loop.allowed_rcd_ohm is None:
        fields = {"outlet": loop.outlet, "source": loop.source, "current_a": round(loop.least_a or 0.0, 1)}
        where, mark = (loop.outlet, loop.source), network.items[loop.outlet].mark
        yield Finding("tt-without-rcd", Grade.POTENTIAL, where, mark, (loop.state,), fields, clause)
        return
    earthing_ohm, residual_a = loop.earthing_ohm or 0.0, TOUCH_LIMIT_V / loop.allowed_rcd_ohm
    voltage_v = earthing_ohm * residual_a
    working = Working(
        f"{loop.source}–{loop.outlet}",
        "electrode_voltage",
        "U_T",
        "(R_E + R_2) · I_Δn",
        (
            Input("R_E", electrode.electrode_ohm, "ohm", "described"),
            Input("R_2", abs(loop.earth_ohm), "ohm", "cables"),
            Input("I_Δn", residual_a, "A", "rating"),
        ),
        voltage_v,
        "V",
        clause,
        Limit("≤", TOUCH_LIMIT_V, "V", clause),
        "holds" if voltage_v <= TOUCH_LIMIT_V else "fails",
        loop.state,
        electrode.id,
    )
    yield working
    if voltage_v > TOUCH_LIMIT_V:
        fields = {
            "electrode": electrode.id,
            "earthing_ohm": round(earthing_ohm),
            "residual_ma": round(1000 * residual_a),
            "voltage_v": round(voltage_v, 1),
            "allowed_ohm": int(loop.allowed_rcd_ohm),
        }
        where, mark = (electrode.id, loop.source), network.items[electrode.id].mark
        yield Finding(
            "tt-electrode-too-high", Grade.POTENTIAL, where, mark, (loop.state,), fields, clause, working.id
        )
