"""What the calibration sheet must measure, and what the machine files are corrected by."""

from __future__ import annotations

import math

from cutfiles.core.units import in_both
from cutfiles.job.model.job import Calibration, Job
from cutfiles.sheet.markup.markup import Content, Element, paragraph, section, table
from cutfiles.toolpath.calibrate.sheet import CALIBRATION_NAME, SQUARES, mark_middles


def calibration_section(job: Job, files: tuple[str, ...]) -> Element | None:
    """Return what to measure and what is corrected already; None where there is neither."""
    own = [name for name in files if name.startswith(f"{CALIBRATION_NAME}.")]
    parts: list[Content] = []
    if own:
        parts += [
            paragraph(
                f"Before the first load run {' or '.join(own)} on paper or card: draw the marks, cut the "
                f"squares. Measure in mm, as finely as you can, between the middles of the marks."
            ),
            _meant(job),
            paragraph(
                "If all agree, the machine is true. If not, the chapter Calibration of the documentation "
                "turns what you measured into scale_x, scale_y and skew_deg."
            ),
        ]
    calibration = job.machine.calibration
    if calibration != Calibration():
        parts.append(
            paragraph(
                f"The machine files are corrected for this machine: x × {calibration.scale_x:.6g}, "
                f"y × {calibration.scale_y:.6g}, skew {calibration.skew_deg:.6g}°. What is cut measures "
                f"what this sheet says; the lines of the files don't."
            )
        )
    return section("Calibration", *parts) if parts else None


def _meant(job: Job) -> Element:
    lower_left, lower_right, upper_left = mark_middles(job.mat, job.machine)
    spans = (
        ("x: lower left to lower right mark", math.dist(lower_left, lower_right)),
        ("y: lower left to upper left mark", math.dist(lower_left, upper_left)),
        ("diagonal: lower right to upper left mark", math.dist(lower_right, upper_left)),
        *((f"sides of the {text} square", side) for side, text in SQUARES),
    )
    rows: list[list[Content]] = [[what, in_both(length), ""] for what, length in spans]
    # A group each, so that each has a box of its own to write into.
    return table(("Length", "Meant", "Measured"), ([row] for row in rows))
