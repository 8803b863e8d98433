"""The `[machine]` table, and what of it can't be together."""

from __future__ import annotations

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import in_both
from cutfiles.formats.model.tool import Drawn
from cutfiles.job.model.job import Calibration, FabricEdge, MachineSpec, Register
from cutfiles.job.parse.section import Section

MOST_SWIVEL_MM = 5.0  # blades of cutting plotters trail by some tenths of a mm: common practice


def machine_of(section: Section) -> MachineSpec:
    """Return the machine.

    Raises:
        JobError: a value that isn't allowed, a kerf wider than the gap, or a swivel that no blade has.
    """
    gap, kerf, swivel = (section.sure_length(key) for key in ("gap", "kerf", "swivel"))
    unit = section.unit
    if kerf > gap + RULE_MM:
        raise section.error(
            "kerf",
            f"{in_both(kerf, unit)} is wider than the gap of {in_both(gap, unit)}, so pieces would lose "
            f"fabric to their neighbours' cuts; at most the gap: raise gap to {in_both(kerf, unit)} or more",
        )
    if swivel > MOST_SWIVEL_MM:
        raise section.error(
            "swivel",
            f"{in_both(swivel, unit)} is more than any blade trails; at most "
            f"{in_both(MOST_SWIVEL_MM, unit)}: see the machine's manual, or leave it 0",
        )
    wanted = section.choices("draw")
    return MachineSpec(
        gap_mm=gap,
        draw=tuple(drawn for drawn in Drawn if drawn.value in wanted),
        smallest_mm=section.sure_length("smallest"),
        register=section.choice("register", Register),
        kerf_mm=kerf,
        swivel_mm=swivel,
        overcut_mm=section.sure_length("overcut"),
        edge=section.choice("edge", FabricEdge),
        calibration=Calibration(
            section.number("scale_x"), section.number("scale_y"), section.number("skew_deg")
        ),
        place=section.flag("place"),
    )
