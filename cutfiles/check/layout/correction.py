"""Files for a machine that is not quite true, taken back to what they mean on the mat."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from cutfiles.check.layout.keys import Key, WrongError
from cutfiles.findings.codes import Code
from cutfiles.formats.model.strokes import Floats
from cutfiles.geometry.outline import Point


@dataclass(frozen=True, slots=True)
class Correction:
    """What the files were made for: u and v in the file lie at `u / scale_x`, `v / scale_y` along the axes.

    The y axis leans to the right by the skew.
    """

    scale_x: float = 1.0
    scale_y: float = 1.0
    skew_deg: float = 0.0

    @property
    def is_none(self) -> bool:
        """Whether files are as things lie."""
        return self == Correction()

    @property
    def keeps_circles(self) -> bool:
        """Whether an arc of the file is an arc on the mat."""
        return self.scale_x == self.scale_y and not self.skew_deg

    def landing(self, point: Point) -> Point:
        """Return where on the mat the machine puts a point of the file."""
        along_x, along_y = point[0] / self.scale_x, point[1] / self.scale_y
        skew = math.radians(self.skew_deg)
        return (along_x + math.sin(skew) * along_y, math.cos(skew) * along_y)

    def landings(self, points: Floats) -> Floats:
        """Return where it puts many points, a row each."""
        along_x, along_y = points[:, 0] / self.scale_x, points[:, 1] / self.scale_y
        skew = math.radians(self.skew_deg)
        return np.column_stack([along_x + math.sin(skew) * along_y, math.cos(skew) * along_y])


def correction_of(machine: Key) -> Correction:
    """Return the correction that a layout's machine has; none where it doesn't say."""
    correction = Correction(
        machine.find("scale_x", 1.0).size(),
        machine.find("scale_y", 1.0).size(),
        machine.find("skew_deg", 0.0).number(),
    )
    if abs(correction.skew_deg) >= 45.0:
        path = machine.find("skew_deg").path
        raise WrongError(Code.BAD_LAYOUT, path, f"is {correction.skew_deg:g}, no machine leans so far")
    return correction
