"""One load as two: what is drawn and what is cut, for two machines. The register marks are in both."""

from __future__ import annotations

from cutfiles.formats.model.plan import CutPlan, LoadPlan
from cutfiles.formats.model.tool import Tool

# After the load's name, in the names of the files.
PARTS = {Tool.DRAW: "draw", Tool.CUT: "cut"}

_WITH = {Tool.DRAW: (Tool.PLACE, Tool.DRAW, Tool.REGISTER), Tool.CUT: (Tool.REGISTER, Tool.CUT)}


def split_plan(plan: CutPlan) -> CutPlan:
    """Return a plan in which each load is one to draw and one to cut, such as `load-01-draw`, `load-01-cut`.

    Both have the load's mat and its register marks. Where nothing is drawn there is no part to draw.
    """
    return CutPlan(tuple(part for load in plan.loads for part in _parts(load)), plan.notes)


def _parts(load: LoadPlan) -> list[LoadPlan]:
    return [
        LoadPlan(
            f"{load.name}-{name}",
            load.width_mm,
            load.height_mm,
            tuple(stroke for stroke in load.strokes if stroke.tool in _WITH[tool]),
        )
        for tool, name in PARTS.items()
        if load.strokes_of(tool) or (tool is Tool.DRAW and load.strokes_of(Tool.PLACE))
    ]
