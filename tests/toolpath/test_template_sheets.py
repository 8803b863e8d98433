"""Templates on stock: inside its margin, a gap apart, holes first, of true size whatever the kerf."""

from __future__ import annotations

from itertools import combinations

import pytest
import shapely

from cutfiles.core.errors import JobError
from cutfiles.core.units import Unit
from cutfiles.formats.model.tool import Tool
from cutfiles.geometry.outline import Circle, Contour, bounds, chords, ring
from cutfiles.geometry.pose import placed
from cutfiles.job.parse.read import parse_job
from cutfiles.nest.base.clock import Clock
from cutfiles.pieces.shape import Shape
from cutfiles.plate.measure import plate_of
from cutfiles.toolpath.cut.webs import check_webs
from cutfiles.toolpath.template_sheets import TemplateSheets, template_sheets

JOB = """
[plate]
blade_length = "4 3/4"
inner_radius = "1 1/4"
[centre]
[[template]]
shape = "blade"
count = 5
[[template]]
shape = "centre-ring"
count = 2
[[template]]
shape = "blade-window"
[stock]
width = "300 mm"
height = "200 mm"
margin = "6 mm"
gap = "4 mm"
"""


def sheets_of(more: str = "") -> TemplateSheets:
    job = parse_job(JOB + more)
    sheets = template_sheets(job, plate_of(job), Clock())
    assert sheets is not None
    return sheets


def _polygon(contour: Contour) -> shapely.Polygon:
    return shapely.Polygon(chords(contour, stray_mm=0.001))


def test_every_part_lies_on_its_sheet() -> None:
    """All that were asked for, 6 mm inside the edge, 4 mm from each other."""
    sheets = sheets_of()
    assert [load.name for load in sheets.layout.loads] == ["template-01", "template-02"]
    shapes = []
    for load in sheets.layout.loads:
        parts = []
        for placement in load.fabrics[0].placements:
            contour = placed(sheets.layout.shape(placement.shape).cut, placement.pose)
            left, low, right, high = bounds(contour)
            assert min(left, low) >= 6 - 1e-6
            assert right <= 294 + 1e-6
            assert high <= 194 + 1e-6
            parts.append(_polygon(contour))
            shapes.append(placement.shape)
        assert all(part.distance(neighbour) > 4 - 0.003 for part, neighbour in combinations(parts, 2))
    assert sorted(shapes) == ["blade"] * 5 + ["blade-window"] + ["centre-ring"] * 2


def test_holes_are_cut_before_their_outline() -> None:
    """And everything is engraved before anything is cut."""
    for plan in sheets_of().plan.loads:
        order = [stroke.tool for stroke in plan.strokes]
        assert order == sorted(order, key=list(Tool).index)
        names = [stroke.name for stroke in plan.strokes_of(Tool.CUT)]
        outer = [name for name in names if "-inner-" not in name]
        holes = [name for name in names if "-inner-" in name]
        assert len(outer) == len(holes) > 0
        for name in holes:
            assert names.index(name) < names.index(name.split("-inner-")[0])


def test_the_kerf_moves_lines_and_not_parts() -> None:
    """Outlines of circles grow by half of it, their openings shrink; the layout is the same."""
    plain, wide = sheets_of(), sheets_of('kerf = "0.3 mm"\n')
    assert plain.layout == wide.layout
    radii = [
        sorted(
            stroke.path.radius
            for stroke in sheets.plan.loads[0].strokes_of(Tool.CUT)
            if isinstance(stroke.path, Circle)
        )
        for sheets in (plain, wide)
    ]
    off = [round(b - a, 9) for a, b in zip(*radii, strict=True)]
    assert len(off) >= 3
    assert set(off) == {0.15, -0.15}


def test_no_templates_no_sheets() -> None:
    """A stock alone asks for nothing."""
    job = parse_job(JOB.split("[[template]]", maxsplit=1)[0] + "[stock]\nwidth = 9\nheight = 9\n")
    assert template_sheets(job, plate_of(job), Clock()) is None


def test_vinyl_is_warned_of() -> None:
    """By any of its names; acrylic is not."""
    for material in ("PVC foam board", "clear Vinyl"):
        notes = sheets_of(f'material = "{material}"\n').plan.notes
        assert [note for note in notes if note.startswith(f"stock: {material} gives off hydrogen chloride")]
    assert not sheets_of().plan.notes


def test_the_stock_that_would_do_does() -> None:
    """What the message of a part too large says is enough, and less is not."""
    text = '[plate]\nblade_length = "4 3/4"\ninner_radius = "1 1/4"\n[[template]]\nshape = "placement"\n'
    job = parse_job(text + '[stock]\nwidth = "300 mm"\nheight = "200 mm"\n')
    with pytest.raises(JobError, match="stock of 12 × 12 in would do"):
        template_sheets(job, plate_of(job), Clock())
    job = parse_job(text + "[stock]\nwidth = 12\nheight = 12\n")
    assert template_sheets(job, plate_of(job), Clock()) is not None


def test_webs_are_measured_where_they_are_thinnest() -> None:
    """A hole 2 mm from an edge, two holes 1 mm apart, a neck of 2.5 mm."""
    square = ring((0, 0), (40, 0), (40, 40), (0, 40))
    check_webs(
        Shape("tide", square, (), symmetric=True, inner=(Circle(20, 20, 5),)),
        "here",
        least_mm=3.0,
        unit=Unit.MM,
    )
    for holes, thin in (((Circle(8, 20, 6),), "2 mm"), ((Circle(15, 20, 4), Circle(24, 20, 4)), "1 mm")):
        with pytest.raises(JobError, match=f"here: only {thin}"):
            check_webs(
                Shape("tide", square, (), symmetric=True, inner=holes), "here", least_mm=3.0, unit=Unit.MM
            )
    neck = ring((0, 0), (20, 8), (40, 0), (40, 20), (20, 10.5), (0, 20))
    with pytest.raises(JobError, match=r"here: only 2\.[45]"):
        check_webs(Shape("tide", neck, (), symmetric=True), "here", least_mm=3.0, unit=Unit.MM)
    with pytest.raises(JobError, match="not inside"):
        check_webs(
            Shape("tide", square, (), symmetric=True, inner=(Circle(0, 0, 9),)),
            "here",
            least_mm=0.0,
            unit=Unit.MM,
        )
