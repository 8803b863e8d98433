"""A fabric's printed repeat, and the motif in it that every piece shall show."""

from __future__ import annotations

from cutfiles.core.errors import GeometryError
from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import FORMS, length_mm, shown
from cutfiles.geometry.outline import Point
from cutfiles.job.model.job import RepeatSpec
from cutfiles.job.parse.section import Section, quoted
from cutfiles.job.schema import fields
from cutfiles.job.schema.field import LONGEST_MM

# In a finer print no two blades differ to the eye, and the search would drown in places.
LEAST_REPEAT_MM = 3.0


def repeat_of(section: Section, width_mm: float, length_mm: float) -> RepeatSpec | None:
    """Return the repeat of a `[[fabric]]` of that size, None if it names none.

    Raises:
        JobError: no repeat of two lengths, or a motif that is neither on the fabric nor in the first repeat.
    """
    _, value = section.value("repeat")
    if value is None:
        if "motif" in section.raw:
            raise section.error(
                "motif", "is given without repeat; add repeat = { width = …, length = … } or leave it out"
            )
        return None
    if not isinstance(value, dict):
        raise section.error("repeat", f"{quoted(value)} is not a table; write {{ width = 4, length = 6 }}")
    table = Section(f"{section.where}.repeat", fields.REPEAT, value, section.unit)
    width, length = _side(table, "width"), _side(table, "length")
    motif = _motif(section)
    if motif is None:
        return RepeatSpec(width, length, (width / 2, length / 2))
    for index, (at, side, repeat_mm) in enumerate(
        zip(motif, (width_mm, length_mm), (width, length), strict=True)
    ):
        most = max(side, repeat_mm)
        if not -RULE_MM <= at <= most + RULE_MM:
            raise section.error(
                f"motif.{index + 1}",
                f"{shown(at, section.unit)} is neither on the fabric nor in its first repeat; "
                f"0 to {shown(most, section.unit)} is allowed; add or take off whole repeats",
            )
    return RepeatSpec(width, length, motif)


def _side(table: Section, key: str) -> float:
    mm = table.sure_length(key)
    if mm < LEAST_REPEAT_MM:
        least = shown(LEAST_REPEAT_MM, table.unit)
        raise table.error(
            key, f"{quoted(table.raw[key])} is too fine; {least} or more is allowed; leave repeat out"
        )
    return mm


def _motif(section: Section) -> Point | None:
    _, value = section.value("motif")
    if value is None:
        return None
    if not isinstance(value, list) or len(value) != 2:
        problem = (
            f"has {len(value)} numbers" if isinstance(value, list) else f"{quoted(value)} is not a point"
        )
        raise section.error("motif", f"{problem}; write [x, y]")
    place_mm = []
    for number, entry in enumerate(value, start=1):
        too_long = isinstance(entry, int) and abs(entry) > LONGEST_MM
        try:
            place_mm.append(LONGEST_MM * 2 if too_long else length_mm(entry, section.unit))
        except GeometryError:
            raise section.error(
                f"motif.{number}", f"{quoted(entry)} is not a length; write one like {FORMS}"
            ) from None
    return place_mm[0], place_mm[1]
