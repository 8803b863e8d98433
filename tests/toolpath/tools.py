"""Cuts as a machine with some tool is told them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from cutfiles.formats.model.plan import Stroke
from cutfiles.formats.model.tool import Tool
from cutfiles.geometry.pose import Pose
from cutfiles.nest.base.layout import Layout, Load, PlacedFabric, Placement
from cutfiles.nest.nest import Bed
from cutfiles.pieces.shape import Shape
from cutfiles.toolpath.toolpath import plan_cuts


def cut_strokes(layout: Layout, bed: Bed, **tool: Any) -> list[Stroke]:
    """Return the cuts of a layout's first load with a machine that differs from the bed's in some way."""
    return list(plan_cuts(layout, bed.mat, replace(bed.machine, **tool)).loads[0].strokes_of(Tool.CUT))


def laid_out(
    shape: Shape, corners: list[tuple[float, float]], *, size: tuple[float, float] = (300.0, 600.0)
) -> Layout:
    """Return pieces of one shape at given places on one fabric, whose corner lies at the mat's."""
    placements = tuple(
        Placement(f"tide-{shape.name}-{n:03d}", shape.name, n, f"tide {n}", Pose(*spot))
        for n, spot in enumerate(corners, start=1)
    )
    laid = PlacedFabric("tide", 1, 0.0, 0.0, *size, 0.0, 0.0, None, placements)
    return Layout((shape,), (Load("load-01", (laid,)),), (), (), (), ())
