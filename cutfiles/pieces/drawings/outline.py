"""The one closed outline that a drawing holds, checked, its origin in the middle of its bounds. mm, y up."""

from __future__ import annotations

import re
from pathlib import Path as FilePath

import shapely

from cutfiles.core.errors import GeometryError
from cutfiles.core.tolerance import FIT_MM
from cutfiles.core.units import Unit, shown
from cutfiles.geometry.outline import Circle, Contour, Path, area, bounds
from cutfiles.geometry.points import points_on
from cutfiles.geometry.pose import Pose, placed
from cutfiles.pieces.drawings.join import joined
from cutfiles.pieces.drawings.strokes import FARTHEST_MM, Run
from cutfiles.pieces.drawings.suffixes import SUFFIXES

MOST_BYTES = 20_000_000
MOST_VERTICES = 1000  # of lines and arcs; traced pictures have more, and no one can sew them
_LEAST_MM2 = 0.01  # of area: less is a line drawn to and fro
_NO_AREA = "holds an outline of no area; draw it larger, or check its unit"
_PLACE = re.compile(r"\[(\S+) (\S+)\]")  # where the geometry library found a crossing


def drawn_outline(path: FilePath, unit: Unit) -> Contour:
    """Return the outline in an SVG or DXF file, counter-clockwise, made of lines and arcs.

    Args:
        path: the drawing; its name says which kind it is.
        unit: the job's: messages show it, and a DXF that names no unit is drawn in it.

    Raises:
        GeometryError: the file can't be read, or holds anything but one simple closed outline.
    """
    try:
        return _centred(_checked(_outline(_runs(path, unit), unit)))
    except GeometryError as error:
        name = path.name if path.name.isprintable() else repr(path.name)
        raise GeometryError(f'"{name}" {error}') from None


def _runs(path: FilePath, unit: Unit) -> list[Run | Circle]:
    ending = path.suffix.lower()
    if ending not in SUFFIXES:
        fault = f"ends in {ending}" if ending else "has no ending"
        raise GeometryError(
            f"{fault if fault.isprintable() else 'has a strange ending'}; give an .svg or .dxf file"
        )
    content = _content(path)
    # Each loads a library of its own, which a job without such a drawing never needs.
    if ending == ".svg":
        from cutfiles.pieces.drawings.svg import svg_runs  # noqa: PLC0415

        return svg_runs(content)
    from cutfiles.pieces.drawings.dxf import dxf_runs  # noqa: PLC0415

    return dxf_runs(content, unit)


def _content(path: FilePath) -> bytes:
    try:
        if not path.exists():
            raise GeometryError("is not there; give its path from the job file's folder")
        if not path.is_file():  # a folder, or a pipe that nobody writes to
            raise GeometryError("is not a file; give the path of an .svg or .dxf file")
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "no such name is possible"
        raise GeometryError(f"can't be read ({reason}); give the path of an .svg or .dxf file") from None
    if len(content) > MOST_BYTES:
        raise GeometryError(f"is larger than {MOST_BYTES // 1_000_000} MB; leave only the outline in it")
    return content


def _outline(runs: list[Run | Circle], unit: Unit) -> Contour:
    circles = [run for run in runs if isinstance(run, Circle)]
    chains = joined([run for run in runs if isinstance(run, Run)])
    outlines: list[Contour] = [*circles, *chains.loops]
    if chains.open_chains and not outlines:
        gap = shown(chains.opening_mm, unit)
        many = f"{chains.open_chains} open lines" if chains.open_chains > 1 else "an open outline"
        raise GeometryError(f"holds {many}, with {gap} missing at least; close it")
    if chains.open_chains:
        raise GeometryError("holds other lines beside its outline; leave one closed outline in it")
    if not outlines:
        raise GeometryError("holds no outline; draw one closed line in it")
    if len(outlines) > 1:
        raise GeometryError(_of_several(outlines))
    return outlines[0]


def _of_several(outlines: list[Contour]) -> str:
    largest = max(outlines, key=lambda outline: abs(area(outline)))
    left, low, right, high = bounds(largest)
    within = [
        outline
        for outline in outlines
        if outline is not largest and left <= bounds(outline)[0] and bounds(outline)[2] <= right
        and low <= bounds(outline)[1] and bounds(outline)[3] <= high
    ]  # fmt: skip
    if len(within) == len(outlines) - 1:
        return "holds an outline inside another; a hole can't be cut or sewn, leave one outline in it"
    return f"holds {len(outlines)} outlines; leave one in it"


def _checked(outline: Contour) -> Contour:
    if isinstance(outline, Circle):
        if area(outline) < _LEAST_MM2:
            raise GeometryError(_NO_AREA)
        return outline
    if len(outline.vertices) > MOST_VERTICES:
        raise GeometryError(
            f"is of {len(outline.vertices)} lines and arcs; {MOST_VERTICES} at most are allowed, simplify it"
        )
    covered = area(outline)
    if abs(covered) < _LEAST_MM2 and _is_line(outline):
        raise GeometryError(_NO_AREA)
    _refuse_crossing(outline)
    if abs(covered) < _LEAST_MM2:
        raise GeometryError(_NO_AREA)
    return outline if covered > 0 else outline.backwards()


def _is_line(outline: Path) -> bool:
    hull = shapely.MultiPoint(points_on(outline, stray_mm=FIT_MM)).convex_hull
    return bool(hull.area < _LEAST_MM2)


def _refuse_crossing(outline: Path) -> None:
    for stray_mm in (FIT_MM / 5, FIT_MM / 100):  # in a very sharp tip chords may cross where arcs don't
        points = points_on(outline, stray_mm=stray_mm)
        if len(points) > 2 and shapely.LinearRing(points).is_simple:
            return
    left, _, _, high = bounds(outline)
    where = _PLACE.search(shapely.is_valid_reason(shapely.Polygon(points)))
    place = ""
    if where is not None:
        across, down = float(where[1]) - left, high - float(where[2])
        place = f", {across:.1f} mm from its left and {down:.1f} mm from its top"
    raise GeometryError(f"holds an outline that crosses or touches itself{place}; draw it without")


def _centred(outline: Contour) -> Contour:
    left, low, right, high = bounds(outline)
    if max(right - left, high - low) > FARTHEST_MM:
        raise GeometryError("reaches further than 100 m; check its unit")
    return placed(outline, Pose(-(left + right) / 2, -(low + high) / 2))
