"""Voltages of battery chemistries."""

from typing import Literal

from asfitted.tables.looked import Looked, NoRowError, looked, rows


def battery_voltage(chemistry: str, nominal_v: float, bound: Literal["lowest", "highest"]) -> Looked:
    """Return the terminal voltage of a battery of `nominal_v` when empty (`lowest`) or on charge
    (`highest`), in V.

    Scaled from one cell; NoRowError for a chemistry that is not listed.
    """
    cells = {r["quantity"]: looked(r, "cell_v") for r in rows("batteries") if r["chemistry"] == chemistry}
    if not cells:
        raise NoRowError("batteries", chemistry)
    cell = cells[bound]
    return Looked(cell.value * nominal_v / cells["nominal"].value, cell.source, cell.verified, cell.note)
