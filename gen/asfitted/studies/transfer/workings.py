"""The figures of the transfer study with all that is needed to compute them again."""

from collections.abc import Iterator

from asfitted.studies.results import Input, Limit, Working
from asfitted.studies.transfer.brownout import Brownout
from asfitted.studies.transfer.dc_side import InverterStart
from asfitted.studies.transfer.dips import Dip
from asfitted.studies.transfer.takeover import Takeover
from asfitted.tables.looked import weakest

DESCRIBED = "build description"


def start_workings(found: InverterStart) -> Iterator[Working]:
    """Yield the voltage at the inverter while a motor starts, for each end of the battery's life."""
    where = f"{found.inverter}.{found.start.behind.name}"
    limit = Limit("≥", found.cut_out_v, "V", DESCRIBED) if found.cut_out_v else None
    for bound in found.bounds:
        verdict = "stated" if not limit else "holds" if bound.voltage_v >= limit.value else "fails"
        yield Working(
            f"{where}.{bound.age}",
            "start_voltage",
            "U_start",
            "(E − ΔU) / 2 + √((E − ΔU)² / 4 − (R_b + R_c) / 1000 · P_dc)",
            (
                Input("E", bound.emf_v, "V", "battery"),
                Input("ΔU", bound.rest_v, "V", "loads"),
                Input("R_b", 1000 * bound.battery_ohm, "mohm", "described"),
                Input("R_c", 1000 * bound.cables_ohm, "mohm", "cables"),
                Input("P_dc", found.power_w, "W", "loads"),
                Input("I_dc", bound.current_a, "A", "loads"),
            ),
            bound.voltage_v,
            "V",
            found.start.source,
            limit,
            verdict,  # type: ignore[arg-type]
            note=bound.age,
            verified=weakest(found.start.verified, "from memory"),
        )
    able = found.able
    if able.most_a is not None:
        yield Working(
            where,
            "start_current",
            "I_start",
            "|I_others + I_motor|",
            (
                Input("I_others", found.others_a, "A", "loads"),
                Input("I_motor", abs(found.start.starting_a), "A", "loads"),
            ),
            found.total_a,
            "A",
            found.start.source,
            Limit("≤", able.most_a, "A", DESCRIBED),
            "holds" if found.outcome == "carries" else "fails",
            note=f"{found.start.duration_s:g} s",
            verified=weakest(found.start.verified, "from memory"),
        )


def dip_working(found: Dip) -> Working:
    """Return the dip that the start of a motor causes for the others."""
    behind = found.start.behind
    return Working(
        f"{behind.outlet}.{behind.name}",
        "start_dip",
        "d_max",
        "100 · ΔU / U",
        (
            Input("ΔU", found.dip_v, "V", "cables"),
            Input("U", float(found.site.spec.voltage_v), "V", "nominal"),
            Input("ΔI", found.change_a, "A", "loads"),
        ),
        found.dip_percent,
        "%",
        found.limit.source,
        Limit("≤", found.limit.value, "%", found.limit.source),
        "holds" if found.holds else "fails",
        found.state,
        note=", ".join(part for part in (found.site.supply, found.site.name, found.seen_at) if part),
        verified=weakest(found.limit.verified, found.start.verified),
    )


def brownout_working(found: Brownout) -> Working:
    """Return the voltage at the input of a changeover with its load on, at the supply voltage that is worst."""
    return Working(
        ".".join(part for part in (found.switch, found.site.supply, found.site.name) if part),
        "changeover_voltage",
        "U_in",
        "U_0 − ΔU",
        (
            Input("U_0", found.supply_v, "V", "table"),
            Input("ΔU", found.sag_v, "V", "cables"),
            Input("ΔU_ahead", found.ahead_v, "V", "cables"),
            Input("U_pick-up", found.picks_up.value, "V", "table" if found.picks_up.source else "described"),
        ),
        found.loaded_v,
        "V",
        found.drops_out.source,
        Limit("≥", found.drops_out.value, "V", found.drops_out.source or DESCRIBED),
        "holds" if found.behaviour == "holds" else "fails",
        found.state,
        verified=weakest(found.drops_out.verified, found.picks_up.verified),
    )


def takeover_working(found: Takeover) -> Working:
    """Return the load that passes to another source against what this carries for good."""
    return Working(
        f"{found.switch}.{found.lost}–{found.taken}",
        "takeover_load",
        "I_b",
        "|Σ I|",
        (Input("I_peak", found.peak_a, "A", "loads"), Input("U", found.able.voltage_v, "V", "nominal")),
        found.lasting_a,
        "A",
        "",
        Limit("≤", found.able.lasting_a, "A", DESCRIBED),
        "holds" if found.outcome in ("carries", "starts not") else "fails",
    )
