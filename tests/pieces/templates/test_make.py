"""Templates of whole jobs: circles, guides, own outlines, from above and from behind."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given, settings

from cutfiles.core.errors import JobError
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Circle, Path, arc_of, area, chords
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.job import Job
from cutfiles.job.parse.read import parse_job
from cutfiles.pieces.plate_shapes import centre_shape_of
from cutfiles.pieces.shape import Shape
from cutfiles.pieces.templates.board import ascii_of
from cutfiles.pieces.templates.make import Template, templates
from cutfiles.plate.measure import plate_of
from tests.strategies import jobs

IN = 25.4
PLATE = '[job]\ntitle = "tide"\n[plate]\nblade_length = "4 3/4"\ninner_radius = "1 1/4"\n[centre]\n'
LEAF = '[[outline]]\nname = "leaf"\npoints = [[0, 0], [1.5, 1], [2, 3], [0.5, 2.25]]\n'
STOCK = '[stock]\nwidth = "600 mm"\nheight = "400 mm"\n'


def made(*tables: str, unit: str = "in") -> tuple[Template, ...]:
    text = PLATE.replace("[plate]", f'unit = "{unit}"\n[plate]') + LEAF + STOCK
    job = parse_job(text + "".join(f"[[template]]\n{table}\n" for table in tables))
    return templates(job, plate_of(job))


def shape_of(table: str) -> Shape:
    return made(table)[0].shape


def test_centre_circles_are_true() -> None:
    """Finished: past the opening's widest point, 1 1/4 in / cos 9°, by 1/4 in; cut 1/4 in more."""
    radius = (1.25 / math.cos(math.radians(9)) + 0.25) * IN
    finished, cut, ring = (
        template.shape
        for template in made('shape = "centre"', 'shape = "centre-cut"', 'shape = "centre-ring"')
    )
    for shape, size in ((finished, radius), (cut, radius + 0.25 * IN), (ring, radius + 0.25 * IN)):
        assert isinstance(shape.cut, Circle)
        assert shape.cut.radius == pytest.approx(size, abs=1e-9)
    assert isinstance(ring.inner[0], Circle)
    assert ring.inner[0].radius == pytest.approx(radius, abs=1e-9)


@pytest.mark.parametrize("setting", ["corner", "edge"])
def test_a_fan_s_centre_has_a_template_as_it_is_cut(setting: str) -> None:
    """A quarter or a half with its straight edges; the ring, which is whole, stays refused and says so."""
    text = PLATE.replace("[centre]", f'set = "{setting}"\n[centre]') + STOCK
    job = parse_job(f'{text}[[template]]\nshape = "centre-cut"\nease = 0\nhole = 0\n')
    shape = templates(job, plate_of(job))[0].shape
    wanted = centre_shape_of(plate_of(job))
    assert shape.cut == wanted.cut
    drawn = [mark.path for mark in shape.marks if mark.kind in (Drawn.SEW, Drawn.FOLD)]
    assert set(drawn) == {mark.path for mark in wanted.marks}
    ring = parse_job(f'{text}[[template]]\nshape = "centre-ring"\n')
    with pytest.raises(JobError, match="or centre-cut, or leave it out"):
        templates(ring, plate_of(ring))


def _degrees(x: float, y: float) -> float:
    return round(math.degrees(math.atan2(y, x)), 4) % 360


def test_a_guide_has_a_notch_and_a_ray_for_every_seam() -> None:
    """Twenty slots, 18° apart; each ray points through the middle and at its slot."""
    shape = shape_of('shape = "placement"\ndiameter = 6')
    assert isinstance(shape.cut, Path)
    ends = [arc_of(start, end) for start, end in shape.cut.edges() if start.bulge < 0]
    middles = sorted({_degrees(*arc.centre) for arc in ends})
    assert middles == pytest.approx([18.0 * n for n in range(20)], abs=1e-4)
    assert {round(arc.radius, 9) for arc in ends} == {1.0}
    rays = [
        mark.path
        for mark in shape.marks
        if mark.kind is Drawn.SEW
        and isinstance(mark.path, Path)
        and len(mark.path.vertices) == 2
        and math.hypot(*mark.path.vertices[1][:2]) > 2 * IN
    ]
    angles = sorted(_degrees(*ray.vertices[1][:2]) for ray in rays)
    assert angles == pytest.approx(middles, abs=1e-4)
    for ray in rays:
        (x, y, _), (to_x, to_y, _) = ray.vertices
        assert abs(x * to_y - y * to_x) < 1e-6


def test_a_guide_as_large_as_the_plate_is_the_usual_one() -> None:
    """11 1/2 in: its rim less twenty slots of 2 × 4 mm."""
    shape = shape_of('shape = "placement"')
    slot = 2 * 3 + math.pi / 2  # as far as its straight sides are straight at the rim
    assert area(shape.cut) == pytest.approx(math.pi * (5.75 * IN) ** 2 - 20 * slot, abs=0.2)


def test_an_outline_is_cut_or_sewn() -> None:
    """As it is cut it holds the sewn shape, 1/4 in inside all round; sewn it is that shape."""
    cut, sewn = (
        template.shape
        for template in made('shape = "leaf"\nease = 0', 'shape = "leaf"\nline = "sewn"\nease = 0\nhole = 0')
    )
    given_points = shapely.Polygon([(0, 0), (1.5 * IN, IN), (2 * IN, 3 * IN), (0.5 * IN, 2.25 * IN)])
    drawn = shapely.Polygon(chords(sewn.cut, stray_mm=0.01))
    assert drawn.symmetric_difference(given_points).area < 1e-6
    around = shapely.Polygon(chords(cut.cut, stray_mm=0.01))
    assert around.exterior.distance(given_points.exterior) == pytest.approx(0.25 * IN, abs=1e-4)
    assert sewn.name == "leaf-2"


def test_from_behind_everything_is_mirrored() -> None:
    """Outline, holes, lines and lettering: turned over, it is the template from above."""
    for name in ("leaf", "blade", "placement"):
        above = shape_of(f'shape = "{name}"')
        behind = shape_of(f'shape = "{name}"\nface = "engrave from behind"')
        flip = Pose(mirrored=True)
        assert placed(behind.cut, flip) == above.cut
        assert [placed(mark.path, flip) for mark in behind.marks] == [mark.path for mark in above.marks]
        assert [placed(hole, flip) for hole in behind.inner] == list(above.inner)
        assert behind.marks != above.marks


def test_a_hole_that_nobody_asked_for_gives_way() -> None:
    """The usual 5 mm have no room in a sliver; asked for, the same hole is refused."""
    text = PLATE + STOCK + '[[outline]]\nname = "sliver"\npoints = [[0, 0], [4, 0], [4, 0.3]]\nseam = 0\n'
    job = parse_job(text + '[[template]]\nshape = "sliver"\n')
    assert templates(job, plate_of(job))[0].shape.inner == ()
    job = parse_job(text + '[[template]]\nshape = "sliver"\nhole = "5 mm"\n')
    with pytest.raises(JobError, match=r"template\.1\.hole: .*too large"):
        templates(job, plate_of(job))


def test_a_hole_that_nobody_asked_for_leaves_the_web() -> None:
    """With a seam of 1.5 mm 2.5 mm would stay beside the usual hole: none is made, where 3 mm must stay."""
    text = '[plate]\nblades = 36\nblade_length = "60 mm"\ninner_radius = "25 mm"\nseam = "1.5 mm"\n'
    for web, holes in (("3 mm", 0), ("1 mm", 1)):
        job = parse_job(f'{text}[[template]]\nshape = "blade"\n{STOCK}web = "{web}"\n')
        assert len(templates(job, plate_of(job))[0].shape.inner) == holes


def test_lettering_is_in_letters_that_a_pen_has() -> None:
    """Accents go, fractions are written out, the rest is left out."""
    assert ascii_of("Fenêtre d'été ½") == "Fenetre d'ete 1/2"
    assert ascii_of("潮") == ""


@settings(max_examples=8)
@given(job=jobs(outlines=False))
def test_any_plate_has_its_templates(job: Job) -> None:
    """Whatever its blades, tip and centre: drawn whole, or refused in words with the key to change."""
    wanted = ["blade", "blade-window", "placement"] + (["centre", "centre-cut"] if job.centre else [])
    for name in wanted:
        spec = parse_job(f'{PLATE}{STOCK}[[template]]\nshape = "{name}"\n').templates
        own = Job(
            title=job.title, unit=job.unit, plate=job.plate, centre=job.centre, background=None, fabrics=(),
            outlines=(), mat=job.mat, machine=job.machine, files=("svg",), templates=spec,
        )  # fmt: skip
        shape = _or_key(own)
        if isinstance(shape, str):
            assert shape.startswith("template.1")
        else:
            assert area(shape.cut) > 0
            assert shape.marks


def _or_key(job: Job) -> Shape | str:
    """The job's first template, or the key that is to be changed."""
    try:
        return templates(job, plate_of(job))[0].shape
    except JobError as error:
        return error.where
