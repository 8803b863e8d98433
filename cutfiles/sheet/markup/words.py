"""Counts and names as the sheet says them."""

from __future__ import annotations

from cutfiles.core.units import Unit, fraction_in, shown
from cutfiles.core.words import counted, listed
from cutfiles.job.model.job import Job
from cutfiles.nest.base.layout import Layout
from cutfiles.plate.finished import is_ring
from cutfiles.plate.plate import Plate

_PLURALS = {
    "binding": "strips of binding",
    "backing": "panels of backing",
    "blade": "blades",
    "second-blade": "second blades",
    "centre": "centres",
    "background": "backgrounds",
}


def of_shape(count: int, shape: str) -> str:
    """Return a count of a shape; a name that the user made up has no plural.

    >>> of_shape(2, "blade"), of_shape(2, "leaf")
    ('2 blades', '2 × leaf')
    """
    if shape in _PLURALS:
        return counted(count, shape, _PLURALS[shape])
    return f"{count} × {shape}"


def several_of(shape: str) -> str:
    """Return what several of a shape are called.

    >>> several_of("blade"), several_of("leaf")
    ('blades', 'leaf')
    """
    return _PLURALS.get(shape, shape)


def degrees(angle_deg: float) -> str:
    """Return an angle to a hundredth of a degree.

    >>> degrees(18.0), degrees(360 / 7)
    ('18°', '51.43°')
    """
    return f"{angle_deg:.2f}".rstrip("0").rstrip(".") + "°"


def measured_degrees(angle_deg: float) -> str:
    """Return an angle to lay something down by: to half a degree, as no protractor shows it finer.

    >>> measured_degrees(192.0), measured_degrees(4 * 360 / 7)
    ('192°', '205.5°')
    """
    return degrees(round(2 * angle_deg) / 2)


def ruled(mm: float, unit: Unit) -> str:
    """Return where to lay something down: to the nearest 1/16 in or mm, as no hand does it finer.

    >>> ruled(14.351, Unit.IN), ruled(14.351, Unit.CM), ruled(14.351, Unit.MM)
    ('9/16 in', '1.4 cm', '14 mm')
    """
    if unit is Unit.IN:
        return f"{fraction_in(mm)} in"
    return shown(round(mm), unit)


def summary(job: Job, plate: Plate, layout: Layout) -> str:
    """Return the sheet in one line."""
    tips = f"{plate.blade.tip.value} tips"
    if is_ring(plate):
        size = f"{shown(plate.blade.finished_diameter_mm, job.unit)} across"
        what = f"{counted(plate.count, 'plate')} of {plate.sewn} blades with {tips}, {size}"
    else:
        of = f"{plate.sewn} of the {plate.blade.blades} blades of a circle"
        what = f"{counted(plate.count, 'fan')} of {of}, {degrees(plate.sweep_deg)}, with {tips}"
    extras = [f"{of_shape(spec.count, spec.name)}" for spec in job.outlines]
    made = [f"{counted(len(layout.loads), 'mat load')}"] if layout.loads else []
    if layout.strips:
        made.append(f"{counted(len(layout.strips), 'strip')} cut by hand")
    elif layout.hand_cuts:
        made.append(f"{counted(sum(cut.count for cut in layout.hand_cuts), 'piece')} cut by hand")
    return f"{listed([what, *extras])}.{f' {listed(made).capitalize()}.' if made else ''}"
