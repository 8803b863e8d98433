"""Register marks: in three corners, alike in every load, never mistaken when a sheet is turned or flipped."""

from __future__ import annotations

import pytest
import shapely
import shapely.affinity

from cutfiles.formats.model.plan import Stroke
from cutfiles.geometry.outline import Circle, chords
from cutfiles.job.model.job import MatSpec, Register
from cutfiles.toolpath.draw.register import register_marks
from tests.nest.jobs import IN

# The eight ways to lay a square on itself, as x' = a·x + b·y, y' = d·x + e·y about its middle: the dihedral
# group of order 8, any textbook of group theory.
SYMMETRIES = {
    "as it is": (1, 0, 0, 1),
    "quarter turn": (0, -1, 1, 0),
    "half turn": (-1, 0, 0, -1),
    "three quarter turns": (0, 1, -1, 0),
    "flipped left to right": (-1, 0, 0, 1),
    "flipped top to bottom": (1, 0, 0, -1),
    "flipped about the rising diagonal": (0, 1, 1, 0),
    "flipped about the falling diagonal": (0, -1, -1, 0),
}
MATS = {"square": MatSpec(300.0, 300.0, 6.0), "oblong": MatSpec(12 * IN, 24 * IN, IN / 4)}
ROUND = 0.001


def ink(strokes: tuple[Stroke, ...]) -> shapely.MultiLineString:
    """Return all that the marks put on the mat."""
    lines = []
    for stroke in strokes:
        points = chords(stroke.path, stray_mm=ROUND)
        lines.append([*points, points[0]] if isinstance(stroke.path, Circle) else points)
    return shapely.MultiLineString(lines)


@pytest.mark.parametrize("mat", MATS.values(), ids=MATS)
@pytest.mark.parametrize("register", [Register.CROSS, Register.RING])
@pytest.mark.parametrize("way", SYMMETRIES)
def test_a_sheet_turned_or_flipped_shows_other_marks(mat: MatSpec, register: Register, way: str) -> None:
    """Of the eight ways to lay a square on itself only one keeps the marks where they are."""
    marks = ink(register_marks(mat, register))
    middle_x, middle_y = mat.width_mm / 2, mat.height_mm / 2
    at_zero = shapely.affinity.translate(marks, -middle_x, -middle_y)
    moved = shapely.affinity.affine_transform(at_zero, [*SYMMETRIES[way], 0, 0])
    away = shapely.hausdorff_distance(moved, at_zero, densify=0.1)
    if way == "as it is":
        assert away < 1e-9
    else:
        # Some line is missing or too many for more than a pen's width.
        assert away > 1.0


@pytest.mark.parametrize(("register", "strokes"), [(Register.CROSS, 7), (Register.RING, 7)])
def test_marks_stand_in_three_corners(register: Register, strokes: int) -> None:
    """Each in its own square inside the mat's margin; the upper right corner stays empty."""
    mat = MATS["oblong"]
    marks = register_marks(mat, register)
    assert len(marks) == strokes
    assert {mark.piece_id for mark in marks} == {""}
    corners = set()
    for mark in marks:
        left, low, right, high = ink((mark,)).bounds
        assert max(right - left, high - low) <= 6 + 1e-9
        assert min(left, low) >= mat.margin_mm
        assert right <= mat.width_mm - mat.margin_mm
        assert high <= mat.height_mm - mat.margin_mm
        corners.add((right > mat.width_mm / 2, high > mat.height_mm / 2))
    assert corners == {(False, False), (True, False), (False, True)}


def test_none_is_none() -> None:
    """A job that wants no marks gets none."""
    assert register_marks(MATS["square"], Register.NONE) == ()
