"""What the earth faults at outlets show: workings, findings, and what a missing loop impedance
leaves open.
"""

from collections.abc import Iterator

from asfitted.studies.loops import C_MIN, LoopResult
from asfitted.studies.results import Assumption, Finding, Grade, Input, Limit, Working
from asfitted.studies.trial import Trial
from asfitted.tables.rules.rule_set import SILENT


def loop_workings(trial: Trial, loop: LoopResult) -> Iterator[Working]:
    """Yield the loop of an earth fault, the current that it drives, the time to disconnection."""
    subject = f"{loop.source}–{loop.outlet}"
    state = f"{loop.state}.{loop.site}" if loop.site else loop.state
    clause = trial.rules.clause("TT electrode" if loop.system == "TT" else "loop impedance")
    if loop.loop_ohm is not None and loop.least_a is not None:
        inputs = (
            *_outside(loop),
            Input("R_1", loop.line_ohm.real, "ohm", "cables"),
            Input("R_2", loop.earth_ohm.real, "ohm", "cables"),
            Input("X_1", loop.line_ohm.imag, "ohm", "table"),
            Input("X_2", loop.earth_ohm.imag, "ohm", "table"),
        )
        formula = f"√(({_sum(_outside(loop))} + R_1 + R_2)² + (X_1 + X_2)²)"
        yield Working(
            subject, "earth_fault_loop", "Z_s", formula, inputs, loop.loop_ohm, "ohm", clause, state=state
        )
        driving = (
            Input("c_min", C_MIN, "", "table"),
            Input("U", loop.voltage_v, "V", "nominal"),
            Input("Z_s", loop.loop_ohm, "ohm", "cables"),
        )
        device = loop.overcurrent or loop.residual
        bound = Limit("≥", device.needed_a, "A", device.source or clause) if device else None
        holds = device is not None and loop.least_a >= device.needed_a
        yield Working(
            subject,
            "least_fault_current",
            "I_k,min",
            "c_min · U / Z_s",
            driving,
            loop.least_a,
            "A",
            "BS 7671:2018 Table 41.3",
            bound,
            "stated" if device is None else "holds" if holds else "fails",
            state,
            device.device if device else "",
        )
    if loop.time_s is not None and loop.demanded:
        silent = trial.rules.clause("disconnection time") == SILENT
        yield Working(
            subject,
            "disconnection_time",
            "t",
            "t",
            (Input("t", loop.time_s, "s", "table"),),
            loop.time_s,
            "s",
            f"{SILENT}: {loop.demanded.source}" if silent else loop.demanded.source,
            Limit("≤", loop.demanded.value, "s", loop.demanded.source),
            "holds" if loop.time_s <= loop.demanded.value else "fails",
            state,
            _by(loop),
        )


def _outside(loop: LoopResult) -> tuple[Input, ...]:
    """Return what of a loop lies outside the build's cables: the supply's, or the two electrodes of a TT
    system.
    """
    own = loop.electrode
    if own is None or loop.supply_ohm > own.electrode_ohm + own.neutral_ohm:
        return (Input("R_e", loop.supply_ohm, "ohm", "described"),)
    origin = "assumed" if own.neutral_assumed else "described"
    return (Input("R_E", own.electrode_ohm, "ohm", "described"), Input("R_B", own.neutral_ohm, "ohm", origin))


def _sum(inputs: tuple[Input, ...]) -> str:
    return " + ".join(i.symbol for i in inputs)


def _by(loop: LoopResult) -> str:
    """Return the id of the device that the time rests on, or of the source that collapses."""
    if loop.outcome == "overcurrent" and loop.overcurrent:
        return loop.overcurrent.device
    if loop.residual:
        return loop.residual.device
    return loop.source


def loop_findings(trial: Trial, loop: LoopResult) -> Iterator[Finding]:
    """Yield what is wrong with the disconnection of an earth fault at an outlet."""
    item = trial.network.items[loop.outlet]
    fields: dict[str, object] = {
        "outlet": loop.outlet,
        "source": loop.source,
        "site": f" ({loop.site})" if loop.site else "",
        "least_a": round(loop.least_a or 0.0, 1),
        "loop_ohm": round(loop.loop_ohm or 0.0, 2),
        "demanded_s": loop.demanded.value if loop.demanded else 0.0,
        "device": loop.overcurrent.device if loop.overcurrent else "–",
    }
    clause = trial.rules.clause("disconnection time")

    def finding(code: str, grade: Grade) -> Finding:
        return Finding(code, grade, (loop.outlet, loop.source), item.mark, (loop.state,), fields, clause)

    if loop.system == "IT":
        return
    poor = loop.electrode and (loop.allowed_rcd_ohm or 0.0) < (loop.earthing_ohm or 0.0)
    if clause == SILENT and loop.outcome == "too slow":
        return  # no table of times to hold it against: what the fault does to a person is for the fault study to say
    if loop.outcome == "too slow" and not poor:
        yield finding("disconnection-too-slow", Grade.POTENTIAL)
    elif loop.outcome == "not shown":
        yield finding("disconnection-not-shown", Grade.INVESTIGATION)


def unknown_loops(trial: Trial, found: tuple[LoopResult, ...]) -> Iterator[Finding | Assumption]:
    """Yield for each supply without a loop impedance the question, and up to which value the
    protection holds.
    """
    asked: dict[str, list[LoopResult]] = {}
    for loop in found:
        if loop.outcome == "not known" or (loop.loop_ohm is None and loop.system in ("TN", "TT")):
            asked.setdefault(loop.source, []).append(loop)
    for source, results in asked.items():
        item = trial.network.items[source]
        alone = min((r.allowed_ohm for r in results if r.allowed_ohm is not None), default=None)
        residual = min((r.allowed_rcd_ohm for r in results if r.allowed_rcd_ohm is not None), default=None)
        demanded = next((r.demanded.value for r in results if r.demanded), 0.0)
        fields: dict[str, object] = {
            "source": source,
            "time_s": demanded,
            "ohm": f"{alone:.1f}" if alone and alone > 0 else "0",
            "rcd_ohm": f"{int(residual)}" if residual else "–",
        }
        yield Finding("loop-not-known", Grade.INVESTIGATION, (source,), item.mark, fields=fields)
        yield Assumption("loop-impedance", (source,), fields, trial.rules.clause("loop impedance"))
