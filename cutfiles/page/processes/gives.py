"""The process that works out what the fabrics give and what to buy, while the page goes on drawing.

Its arguments are a job and its folder; it reports, as soon as each is known: whole plates and what is over;
what to buy and what is short; the longest blades, and which cloth would hold more with its grain turned.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from cutfiles.core.errors import CutfilesError
from cutfiles.core.units import shown
from cutfiles.core.words import counted, listed
from cutfiles.job.model.job import Job
from cutfiles.job.parse.read import parse_job
from cutfiles.page.processes.telling import end, leave_ctrl_c, listen, tell
from cutfiles.pipeline import Sized, buy, fit, size
from cutfiles.sheet.markup.words import of_shape, several_of
from cutfiles.shopping.shopping_list import ShoppingList
from cutfiles.yields.fit import Fit
from cutfiles.yields.plates import WholePlates

_NICENESS = 10  # what a person waits for comes first: the page, and a layout that is on its way


def plates_line(whole: WholePlates, job: Job) -> str:
    """Return how many whole plates the fabrics give, what is over, and what decides it."""
    over = f", {of_shape(whole.blades_over, 'blade')} over" if whole.blades_over else ""
    line = f"The fabrics give {counted(whole.plates, 'plate')}{over}."
    asked = job.plate.count
    if whole.plates < asked and whole.limited_by:
        short = several_of(whole.limited_by)
        return f"{line} The job asks for {asked}: there is too little cloth for {short}."
    return line


def longest_line(found: Fit, job: Job) -> str:
    """Return how long the blades of the plates as asked could be."""
    asked = counted(job.plate.count, "plate")
    if found.largest is None:
        return f"For {asked} these fabrics are too little, however short the blades are."
    length, diameter = found.largest.blade_length_mm, found.largest.finished_diameter_mm
    return (
        f"For {asked} the blades could be up to {shown(length, job.unit)} long, "
        f"which makes a plate of {shown(diameter, job.unit)}."
    )


def turned_lines(found: Fit) -> list[str]:
    """Return of which cloth a piece would hold more with its grain turned, a line for all alike."""
    names: dict[tuple[int, str, int], list[str]] = {}
    for each in found.fabrics:
        if each.turned is not None:
            held, turned = dict(each.holds).get("blade"), dict(each.turned.holds).get("blade")
            if held is not None and turned is not None:
                names.setdefault((held, each.turned.grain.value, turned), []).append(each.fabric)
    return [
        f"{listed(some)}: a piece holds {of_shape(held, 'blade')}; "
        f"with its grain {grain} it would hold {turned}."
        for (held, grain, turned), some in names.items()
    ]


def shopping_lines(shopping: ShoppingList, job: Job) -> list[str]:
    """Return what to buy, a line a fabric, and all of it in a line where that is more than one."""
    lines = [f"{item.fabric}: {item.words(job.unit)}" for item in shopping.items]
    lines += [f"{', '.join(packs.fabrics)}: together {packs.words()}" for packs in shopping.mixed_packs]
    return [*lines, f"In all: {shopping.total()}"] if len(lines) > 1 else lines


def _work_out(sized: Sized) -> None:
    job = sized.job

    def on_plates(whole: WholePlates) -> None:
        tell("plates", says=plates_line(whole, job))
        is_open = any(fabric.is_open for fabric in job.fabrics)
        if is_open or whole.plates < job.plate.count:
            shopping = buy(sized)
            tell("buy", buy=shopping_lines(shopping, job), short=list(shopping.shortages))

    found = fit(sized, on_plates=on_plates)
    tell("longest", says=longest_line(found, job), turned=turned_lines(found))


def main(job: Path, folder: Path) -> int:
    """Work out what a job's fabrics give, and report it; return an exit status."""
    listen(lambda _: None)
    if hasattr(os, "nice"):
        os.nice(_NICENESS)
    try:
        _work_out(size(parse_job(job.read_text(encoding="utf-8"), folder=folder)))
    except (CutfilesError, OSError) as error:
        tell("failed", says=str(error))
    tell("over")
    return 0


if __name__ == "__main__":
    leave_ctrl_c()
    end(main(*(Path(argument) for argument in sys.argv[1:3])))
