"""Where something lies: mirrored or not, turned, then moved. Degrees counter-clockwise, mm."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import overload

from cutfiles.geometry.outline import Circle, Contour, Path, Point, Vertex

_new = tuple.__new__
_QUARTERS = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}


def within_circle_deg(turn_deg: float) -> float:
    """Return the same turn from 0 up to, not including, 360 degrees."""
    # Once is not enough: -1e-20 % 360.0 is 360.0.
    return turn_deg % 360.0 % 360.0


def off_turn_deg(turn_deg: float, allowed: Iterable[float]) -> float:
    """Return by how much a turn misses the nearest allowed one, degrees; 360 where none is allowed.

    >>> off_turn_deg(359.5, (0.0, 180.0)), off_turn_deg(-90.0, (270.0,)), off_turn_deg(1.0, ())
    (0.5, 0.0, 360.0)
    """
    return min((abs((turn_deg - turn + 180.0) % 360.0 - 180.0) for turn in allowed), default=360.0)


def cos_sin(turn_deg: float) -> tuple[float, float]:
    """Return cosine and sine; exact at quarter turns, where `math.cos` leaves 6e-17 behind."""
    turn_deg = within_circle_deg(turn_deg)
    exact = _QUARTERS.get(turn_deg)
    if exact is not None:
        return exact
    angle = math.radians(turn_deg)
    return math.cos(angle), math.sin(angle)


@dataclass(frozen=True, slots=True)
class Pose:
    """Mirror about the y axis (x becomes −x) if asked, then turn about the origin, then move."""

    x_mm: float = 0.0
    y_mm: float = 0.0
    turn_deg: float = 0.0
    mirrored: bool = False

    def point(self, point: Point) -> Point:
        """Return where a point of the thing's own frame lies."""
        x, y = point
        if self.mirrored:
            x = -x
        cos, sin = cos_sin(self.turn_deg)
        return (x * cos - y * sin + self.x_mm, x * sin + y * cos + self.y_mm)

    def inverse(self) -> Pose:
        """Return the pose that takes everything back."""
        # Mirrored is turned the other way round, so that the same turn undoes it.
        back = Pose(turn_deg=self.turn_deg if self.mirrored else -self.turn_deg, mirrored=self.mirrored)
        x, y = back.point((self.x_mm, self.y_mm))
        return Pose(-x, -y, within_circle_deg(back.turn_deg), self.mirrored)

    def after(self, first: Pose) -> Pose:
        """Return the pose that does `first`, then this one."""
        x, y = self.point((first.x_mm, first.y_mm))
        turn = -first.turn_deg if self.mirrored else first.turn_deg
        return Pose(x, y, within_circle_deg(turn + self.turn_deg), self.mirrored != first.mirrored)


@overload
def placed(contour: Path, pose: Pose) -> Path: ...
@overload
def placed(contour: Circle, pose: Pose) -> Circle: ...
def placed(contour: Contour, pose: Pose) -> Contour:
    """Return the path as it lies. A mirrored closed path is run backwards, so that it stays ccw."""
    if isinstance(contour, Circle):
        x, y = pose.point((contour.x, contour.y))
        return Circle(x, y, contour.radius)
    # As `Pose.point` does, point by point; a plan places half a million of them.
    side = -1.0 if pose.mirrored else 1.0
    cos, sin = cos_sin(pose.turn_deg)
    x_right, x_up = side * cos, side * sin
    right, up = pose.x_mm, pose.y_mm
    # `_new(Vertex, …)` is what `Vertex(…)` does in the end, in two thirds of the time.
    vertices = [
        _new(Vertex, (x * x_right - y * sin + right, x * x_up + y * cos + up, side * bulge))
        for x, y, bulge in contour.vertices
    ]
    path = Path(tuple(vertices), contour.closed)
    return path.backwards() if pose.mirrored and contour.closed else path


@dataclass(frozen=True, slots=True)
class Posed:
    """Paths in a frame of their own, and where that frame lies: they are placed once all is decided."""

    paths: tuple[Path, ...]
    pose: Pose

    def under(self, pose: Pose) -> Posed:
        """Return the same paths as they lie once the frame they lie in is laid down itself."""
        return Posed(self.paths, pose.after(self.pose))


def all_placed(groups: Iterable[Posed]) -> tuple[Path, ...]:
    """Return the paths as they lie, in order."""
    return tuple(placed(path, group.pose) for group in groups for path in group.paths)
