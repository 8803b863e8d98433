"""A fabric's size and shape: a rectangle, or a scrap with an outline; and what of it is to be avoided."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from cutfiles.core.errors import JobError
from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import Unit, shown
from cutfiles.geometry.outline import Point
from cutfiles.job.parse.polygon import corners_of
from cutfiles.job.parse.section import Section, quoted
from cutfiles.job.schema import fields
from cutfiles.job.schema.field import AS_NEEDED, LONGEST_MM

_MOST_AVOIDED = 100


@dataclass(frozen=True, slots=True)
class FabricShape:
    """Width, length, outline and avoided polygons in mm, from the lower left corner of the bounds."""

    width_mm: float
    length_mm: float
    outline: tuple[Point, ...]  # empty: the whole rectangle
    avoid: tuple[tuple[Point, ...], ...]
    drawing: Path | None = None  # of the outline: then width and length are 0, not known yet


def shape_of(section: Section, folder: Path) -> FabricShape:
    """Return the shape of a `[[fabric]]`; the path of a drawing starts at `folder`.

    Raises:
        JobError: no simple polygon, sizes that contradict the outline, or something avoided that isn't there.
    """
    outline: tuple[Point, ...] = ()
    if isinstance(section.raw.get("outline"), str):
        return _drawn(section, folder)
    if "outline" in section.raw:
        if not isinstance(section.raw["outline"], list):
            written = quoted(section.raw["outline"])
            raise section.error(
                "outline",
                f'{written} is no outline; write its corners, like [[0, 0], [9, 0], [8, 7]], or "scrap.svg"',
            )
        outline = corners_of(section, key="outline")
        left, low = (min(point[axis] for point in outline) for axis in (0, 1))
        outline = _moved(outline, -left, -low)
        width, length = (max(point[axis] for point in outline) for axis in (0, 1))
        _agree(section, "width", width)
        _agree(section, "length", length)
    else:
        left = low = 0.0
        width = section.sure_length("width")
        length = LONGEST_MM if section.raw["length"] == AS_NEEDED else section.sure_length("length")
    avoid = tuple(_moved(points, -left, -low) for points in _avoided(section))
    shape = FabricShape(width, length, outline, avoid)
    check_avoided(section.where, shape, section.unit)
    return shape


def _drawn(section: Section, folder: Path) -> FabricShape:
    """A scrap with a drawing: what is avoided counts from its bounds, whatever place it has on its page."""
    for key in ("width", "length"):
        if key in section.raw:
            raise section.error(key, f"stands beside a drawing, which has a size of its own; leave {key} out")
    return FabricShape(0.0, 0.0, (), tuple(_avoided(section)), folder / section.text("outline"))


def check_avoided(where: str, shape: FabricShape, unit: Unit) -> None:
    """Do nothing if all that is avoided lies on the fabric, at least in part.

    Raises:
        JobError: something doesn't.
    """
    for number, points in enumerate(shape.avoid, start=1):
        xs, ys = zip(*points, strict=True)
        if min(xs) >= shape.width_mm or min(ys) >= shape.length_mm or max(xs) <= 0 or max(ys) <= 0:
            size = f"{shown(shape.width_mm, unit)} × {shown(shape.length_mm, unit)}"
            raise JobError(f"{where}.avoid.{number}", f"lies outside the fabric of {size}; move it")


def margin_within(section: Section, width_mm: float, length_mm: float) -> float:
    """Return the `margin` of a fabric or a mat of that size.

    Raises:
        JobError: it leaves nothing between two sides.
    """
    margin = section.sure_length("margin")
    check_margin(section.where, margin, min(width_mm, length_mm), section.unit)
    return margin


def check_margin(where: str, margin_mm: float, across_mm: float, unit: Unit) -> None:
    """Do nothing if a margin on both sides leaves something of a width.

    Raises:
        JobError: it doesn't.
    """
    if 2 * margin_mm >= across_mm:
        half, whole = shown(across_mm / 2, unit), shown(across_mm, unit)
        raise JobError(
            f"{where}.margin", f"on both sides leaves nothing of {whole}; less than {half} is allowed"
        )


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
    if not isinstance(value, list) or not all(isinstance(table, dict) for table in value):
        problem = f"{quoted(value)} is not" if not isinstance(value, list) else "holds something other than"
        a_list = " a list of tables" if not isinstance(value, list) else " tables"
        raise section.error(
            "avoid",
            f"{problem}{a_list}; write [{{ x = 1, y = 2, width = 1, length = 3 }}] or [{{ points = … }}]",
        )
    if len(value) > _MOST_AVOIDED:
        raise section.error("avoid", f"{len(value)} are too many; at most {_MOST_AVOIDED} are allowed")
    return [
        _avoided_area(Section(f"{section.where}.avoid.{number}", fields.AVOID, table, section.unit))
        for number, table in enumerate(value, start=1)
    ]


def _avoided_area(section: Section) -> tuple[Point, ...]:
    if "points" in section.raw:
        for key in section.raw:
            if key != "points":
                raise section.error(key, "stands beside points; leave one of the two out")
        return corners_of(section)
    x, y = section.sure_length("x"), section.sure_length("y")
    width, length = section.sure_length("width"), section.sure_length("length")
    return ((x, y), (x + width, y), (x + width, y + length), (x, y + length))
