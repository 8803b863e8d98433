"""A load in two: together the parts hold what the whole one holds, stroke by stroke."""

from __future__ import annotations

from cutfiles.formats.model.plan import CutPlan
from cutfiles.formats.model.tool import Tool
from cutfiles.job.model.job import Register
from cutfiles.toolpath.split import split_plan
from tests.nest.jobs import bed_of, cut_list_of, fabric_of, nested, usual_shapes
from tests.toolpath.test_toolpath import BARE, planned


def whole(*, register: Register = Register.CROSS, pen: bool = True) -> CutPlan:
    """Return the plan of four squares on one load."""
    bed = bed_of(register=register) if pen else bed_of(register=register, draw=())
    return planned(nested(cut_list_of(usual_shapes() if pen else BARE, {"blade": 8}, fabric_of()), bed), bed)


def test_the_parts_hold_the_strokes_of_the_whole_in_order() -> None:
    """Marks in both, everything else in one; mat and order as they were."""
    plan = whole()
    parts = split_plan(plan)
    assert [part.name for part in parts.loads] == [
        f"{load.name}-{part}" for load in plan.loads for part in ("draw", "cut")
    ]
    assert parts.notes == plan.notes
    for load, drawn, cut in zip(plan.loads, parts.loads[::2], parts.loads[1::2], strict=True):
        marks = [stroke for stroke in load.strokes if stroke.tool is Tool.REGISTER]
        assert marks
        assert [*drawn.strokes, *cut.strokes[len(marks) :]] == list(load.strokes)
        assert list(cut.strokes[: len(marks)]) == marks
        assert {stroke.tool for stroke in drawn.strokes} == {Tool.DRAW, Tool.REGISTER}
        for part in (drawn, cut):
            assert (part.width_mm, part.height_mm) == (load.width_mm, load.height_mm)


def test_without_a_pen_there_is_no_part_to_draw() -> None:
    """The marks are in the part to cut."""
    plan = whole(pen=False)
    parts = split_plan(plan)
    assert [part.name for part in parts.loads] == [f"{load.name}-cut" for load in plan.loads]
    assert [part.strokes for part in parts.loads] == [load.strokes for load in plan.loads]
