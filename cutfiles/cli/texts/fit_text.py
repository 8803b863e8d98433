"""What the fabrics give, as lines to read."""

from __future__ import annotations

from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING

from cutfiles.core.units import shown
from cutfiles.core.words import counted
from cutfiles.job.model.blade_shapes import BLADE
from cutfiles.job.model.job import Job
from cutfiles.job.model.needs import PLATE_SHAPES, count_of

if TYPE_CHECKING:
    from cutfiles.yields.fit import FabricYield, Fit
    from cutfiles.yields.longest import Longest
    from cutfiles.yields.steps import LengthStep


def fit_text(fit: Fit, job: Job) -> str:
    """Return whole plates, what fabrics hold, what is short, and the longest blades; in the job's unit."""
    whole = fit.whole
    over = f", {counted(whole.blades_over, BLADE)} over" if whole.blades_over else ""
    lines = [f"{counted(whole.plates, 'plate')}{over}; {_decides(whole.limited_by)}"]
    held = [line for alike in _alike(fit) for line in _yield_lines(alike)]
    lines += ["", *held] if held else []
    if fit.shortages:
        lines += [
            "",
            f"for {counted(job.plate.count, 'plate')} as asked there is too little:",
            *fit.shortages,
        ]
    lines += ["", *_longest_lines(fit.largest, job)]
    return "\n".join([*lines, *_step_lines(fit, job)])


def _decides(shape: str | None) -> str:
    if shape is None:
        return "no more are asked for, and their cloth is bought as needed"
    return f"{shape}s decide how many" if shape in PLATE_SHAPES else f"{shape} decides how many"


def _yield_lines(alike: list[FabricYield]) -> list[str]:
    names, first = ", ".join(each.fabric for each in alike), alike[0]
    of_each = " of each" if len(alike) > 1 else ""
    lines = [
        f"{names}: a piece holds {count_of(count, shape)}"
        + (f", {first.pieces} pieces{of_each} {count * first.pieces}" if first.pieces > 1 else "")
        for shape, count in first.holds
    ]
    if first.turned is not None:
        held = ", ".join(count_of(count, shape) for shape, count in first.turned.holds)
        lines.append(f'{names}: with grain = "{first.turned.grain.value}" it would hold {held}')
    return lines


def _alike(fit: Fit) -> list[list[FabricYield]]:
    """Fabrics that hold the same, told in one line."""
    groups: dict[tuple[object, ...], list[FabricYield]] = {}
    for fabric_yield in fit.fabrics:
        groups.setdefault((fabric_yield.holds, fabric_yield.pieces, fabric_yield.turned), []).append(
            fabric_yield
        )
    return list(groups.values())


def _longest_lines(longest: Longest | None, job: Job) -> list[str]:
    asked = counted(job.plate.count, "plate")
    if longest is None:
        return [f"{asked} as asked: these fabrics don't give them, however short the blades are"]
    unit = job.unit
    line = (
        f"{asked} as asked: blades up to {shown(longest.blade_length_mm, unit)} long fit, "
        f"a plate of {shown(longest.finished_diameter_mm, unit)}"
    )
    if longest.needs_mm is None:
        return [f"{line}; {longest.limited_by} holds too few of longer ones"]
    of_cloth = f"{shown(longest.needs_mm, unit)} of cloth{_as_bought(longest.limited_by, job)}"
    return [f"{line}; a longer blade needs {of_cloth}: {longest.limited_by}"]


def _as_bought(name: str, job: Job) -> str:
    return next((fabric.purchase.after_size for fabric in job.fabrics if fabric.name == name), "")


def _step_lines(fit: Fit, job: Job) -> list[str]:
    if not fit.steps:
        return []
    by_fabric: dict[str, list[LengthStep]] = {}
    for step in fit.steps:
        by_fabric.setdefault(step.fabric, []).append(step)
    rows: dict[tuple[tuple[int, float], ...], list[str]] = {}
    for fabric, steps in by_fabric.items():
        rows.setdefault(tuple((step.blades, step.blade_length_mm) for step in steps), []).append(fabric)
    lines = ["", "longest blades of which one piece holds so many:"]
    for steps_, fabrics in rows.items():
        # Many a strip holds two or six of the same length.
        alike = [
            (length, [count for count, _ in some]) for length, some in groupby(steps_, key=itemgetter(1))
        ]
        told = ", ".join(
            f"{counts[0]}{f' to {counts[-1]}' if len(counts) > 1 else ''}: {shown(length, job.unit)}"
            for length, counts in alike
        )
        lines.append(f"{', '.join(fabrics)}  {told}")
    return lines
