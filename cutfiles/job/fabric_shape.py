"""A fabric's size and shape: a rectangle, or a scrap with an outline; and what of it is to be avoided."""

from __future__ import annotations

from dataclasses import dataclass

from cutfiles.core.errors import JobError
from cutfiles.core.outline import Point
from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import shown
from cutfiles.job import fields
from cutfiles.job.polygon import corners_of
from cutfiles.job.section import Section, quoted

_MOST_AVOIDED = 100


@dataclass(frozen=True, slots=True)
class FabricShape:
    """Width, length, outline and avoided polygons in mm, from the lower left corner of the bounds."""

    width_mm: float
    length_mm: float
    outline: tuple[Point, ...]  # empty: the whole rectangle
    avoid: tuple[tuple[Point, ...], ...]


def shape_of(section: Section) -> FabricShape:
    """Return the shape of a `[[fabric]]`.

    Raises:
        JobError: no simple polygon, sizes that contradict the outline, or something avoided that isn't there.
    """
    outline: tuple[Point, ...] = ()
    if "outline" in section.raw:
        outline = corners_of(section, key="outline")
        left, low = (min(point[axis] for point in outline) for axis in (0, 1))
        outline = _moved(outline, -left, -low)
        width, length = (max(point[axis] for point in outline) for axis in (0, 1))
        _agree(section, "width", width)
        _agree(section, "length", length)
    else:
        left = low = 0.0
        width, length = section.sure_length("width"), section.sure_length("length")
    avoid = tuple(_moved(points, -left, -low) for points in _avoided(section))
    for number, points in enumerate(avoid, start=1):
        xs, ys = zip(*points, strict=True)
        if min(xs) >= width or min(ys) >= length or max(xs) <= 0 or max(ys) <= 0:
            size = f"{shown(width, section.unit)} × {shown(length, section.unit)}"
            raise JobError(f"{section.where}.avoid.{number}", f"lies outside the fabric of {size}; move it")
    return FabricShape(width, length, outline, avoid)


def margin_within(section: Section, width_mm: float, length_mm: float) -> float:
    """Return the `margin` of a fabric or a mat of that size.

    Raises:
        JobError: it leaves nothing between two sides.
    """
    margin, across = section.sure_length("margin"), min(width_mm, length_mm)
    if 2 * margin >= across:
        half, whole = shown(across / 2, section.unit), shown(across, section.unit)
        raise section.error("margin", f"on both sides leaves nothing of {whole}; less than {half} is allowed")
    return margin


def _moved(points: tuple[Point, ...], x_mm: float, y_mm: float) -> tuple[Point, ...]:
    return tuple((x + x_mm, y + y_mm) for x, y in points)


def _agree(section: Section, key: str, own_mm: float) -> None:
    given = section.length(key)
    if given is not None and abs(given - own_mm) > RULE_MM:
        unit = section.unit
        raise section.error(
            key, f"is {shown(given, unit)}, but the outline measures {shown(own_mm, unit)}; leave {key} out"
        )


def _avoided(section: Section) -> list[tuple[Point, ...]]:
    _, value = section.value("avoid")
    if value is None:
        return []
    if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
        found = f"{quoted(value)} is not" if not isinstance(value, list) else "holds something other than"
        a_list = " a list of tables" if not isinstance(value, list) else " tables"
        raise section.error(
            "avoid",
            f"{found}{a_list}; write [{{ x = 1, y = 2, width = 1, length = 3 }}] or [{{ points = … }}]",
        )
    if len(value) > _MOST_AVOIDED:
        raise section.error("avoid", f"{len(value)} are too many; at most {_MOST_AVOIDED} are allowed")
    return [
        _one(Section(f"{section.where}.avoid.{number}", fields.AVOID, one, section.unit))
        for number, one in enumerate(value, start=1)
    ]


def _one(section: Section) -> tuple[Point, ...]:
    if "points" in section.raw:
        for key in section.raw:
            if key != "points":
                raise section.error(key, "stands beside points; leave one of the two out")
        return corners_of(section)
    x, y = section.sure_length("x"), section.sure_length("y")
    width, length = section.sure_length("width"), section.sure_length("length")
    return ((x, y), (x + width, y), (x + width, y + length), (x, y + length))
