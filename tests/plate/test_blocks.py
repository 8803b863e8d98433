"""Blocks put together from their cut pieces, each less its seams, by the geometry library shapely."""

from __future__ import annotations

import math
import pathlib
from dataclasses import replace

import pytest
import shapely
from shapely import affinity

from cutfiles.geometry.outline import Circle, Path, chords
from cutfiles.job.model.job import BackgroundSpec, CentreKind, CentreSpec, Job, Setting
from cutfiles.job.model.needs import needs
from cutfiles.job.parse.read import read_job
from cutfiles.pieces.cutlist import cut_list
from cutfiles.pieces.plate_shapes import centre_shape
from cutfiles.pieces.shape import Shape
from cutfiles.plate.blade import Blade
from cutfiles.plate.finished import finished_centre
from cutfiles.plate.measure import plate_of
from cutfiles.plate.plate import Plate
from cutfiles.plate.strips import end_for_end, one_way
from cutfiles.tips.registry import Tip
from tests.plate.test_measure import HARBOUR, IN, job_of

ARC_MM = 1e-4
FAR = 1e5
FIXTURES = pathlib.Path(__file__).parents[2] / "fixtures/jobs"


def polygon(shape: Shape) -> shapely.Polygon:
    return shapely.Polygon(chords(shape.cut, stray_mm=ARC_MM))


def fan_job(setting: Setting, blades: int, tip: Tip) -> Job:
    sewn = blades // setting.share
    spec = replace(HARBOUR, count=1, blades=blades, sewn=sewn, tip=tip, setting=setting)
    return job_of(spec, centre=CentreSpec(None, IN / 4, None), background=BackgroundSpec(IN / 2, None))


def sewn_blade(cut: shapely.Polygon, blade: Blade) -> shapely.Polygon:
    """A blade as it is cut, less a seam along its long edges, its wide end finished as the words say."""
    a, seam, tip = math.pi / blade.blades, blade.seam_mm, blade.tip
    wedge = shapely.Polygon([(0, 0), (FAR * math.tan(a), FAR), (-FAR * math.tan(a), FAR)])
    between = cut.intersection(wedge)
    top = blade.inner_radius_mm + blade.length_mm - seam
    if tip is Tip.FLAT:
        return between.intersection(shapely.box(-FAR, -FAR, FAR, top))
    if tip is Tip.FOLDED:
        return between.intersection(shapely.Polygon([(0, top), (-FAR, top - FAR), (FAR, top - FAR)]))
    within = cut.buffer(-seam, quad_segs=512)  # the narrow end isn't sewn: below, the wedge alone counts
    low = shapely.box(-FAR, -FAR, FAR, blade.inner_radius_mm + blade.length_mm / 4)
    return shapely.union(within.intersection(wedge), between.intersection(low))


def joined(shapes: dict[str, Shape], plate: Plate) -> shapely.Polygon:
    """A blade of bands: each less a seam at its joins, put together; the tip then as on any blade."""
    names = [name for name in shapes if name.startswith("band-")]
    seam, parts = plate.blade.seam_mm, []
    for number, name in enumerate(names):
        cut = polygon(shapes[name])
        _, low, _, high = cut.bounds
        low += seam if number else 0.0
        high -= seam if number < len(names) - 1 else 0.0
        parts.append(cut.intersection(shapely.box(-FAR, low, FAR, high)))
        assert number == 0 or low == pytest.approx(parts[-2].bounds[3], abs=1e-9)  # no gap, no overlap
    return sewn_blade(
        shapely.union_all([part.buffer(1e-9, join_style="mitre") for part in parts]), plate.blade
    )


def assembled(job: Job) -> tuple[list[shapely.Polygon], shapely.Polygon | None, shapely.Polygon, Plate]:
    """The sewn blades where they are in the block, its centre, and the block itself between its seams."""
    plate = plate_of(job)
    shapes = {shape.name: shape for shape in cut_list(job, plate).shapes}
    ones = [joined(shapes, plate) if plate.bands_mm else sewn_blade(polygon(shapes["blade"]), plate.blade)]
    if plate.second:
        ones.append(sewn_blade(polygon(shapes["second-blade"]), plate.second))
    step = 360.0 / plate.blade.blades
    # Counted from the right-hand end, which is the x axis of a fan in a corner or on an edge.
    right = {Setting.CORNER: -90.0, Setting.EDGE: -90.0, Setting.CENTRE: 0.0}[plate.setting]
    turns = [right + (number + 0.5) * step for number in range(plate.sewn)]
    blades = [
        affinity.rotate(ones[place % len(ones)], turn, origin=(0, 0)) for place, turn in enumerate(turns)
    ]
    if plate.background is None:
        block = shapely.Point(0, 0).buffer(2 * plate.blade.outer_radius_mm)
        return blades, sewn_centre(shapes, plate, block), block, plate
    left, low, high, top = polygon(shapes["background"]).bounds
    seam, trim = plate.blade.seam_mm, plate.background.trim_mm
    at_left, at_low = {
        Setting.CENTRE: (trim / 2, trim / 2),
        Setting.CORNER: (0.0, 0.0),
        Setting.EDGE: (trim / 2, 0.0),
    }[plate.setting]
    block = shapely.box(
        left + at_left + seam,
        low + at_low + seam,
        high - (trim - at_left) - seam,
        top - (trim - at_low) - seam,
    )
    return blades, sewn_centre(shapes, plate, block), block, plate


def sewn_centre(shapes: dict[str, Shape], plate: Plate, block: shapely.Polygon) -> shapely.Polygon | None:
    """The cut centre, less what is turned under round its arc, and less the seams that the block takes."""
    if plate.centre is None:
        return None
    turn = plate.centre.cut_radius_mm - plate.centre.finished_radius_mm
    cut = polygon(shapes["centre"])
    reach = max(math.hypot(x, y) for x, y in cut.exterior.coords)
    disc = shapely.Point(0, 0).buffer(reach - turn, quad_segs=4096)
    return cut.intersection(disc).intersection(block)


CASES = [
    *((setting, n, tip) for setting, n in ((Setting.CORNER, 20), (Setting.EDGE, 20)) for tip in Tip),
    (Setting.CORNER, 8, Tip.ROUND), (Setting.EDGE, 6, Tip.FLAT), (Setting.EDGE, 14, Tip.FOLDED),
    (Setting.CORNER, 60, Tip.FLAT), (Setting.CENTRE, 20, Tip.FOLDED), (Setting.CENTRE, 15, Tip.ROUND),
]  # fmt: skip


@pytest.mark.parametrize(("setting", "blades", "tip"), CASES)
@pytest.mark.parametrize("trim", [0.0, IN])
def test_the_sewn_pieces_cover_the_block_exactly(
    setting: Setting, blades: int, tip: Tip, trim: float
) -> None:
    """Nothing lies outside the block, no two blades overlap, and no hair of background shows between."""
    job = fan_job(setting, blades, tip)
    assert job.background
    check_block(replace(job, background=replace(job.background, trim_mm=trim)))


def check_block(job: Job) -> None:
    blades, centre, block, plate = assembled(job)
    fan = shapely.union_all([blade.buffer(1e-7, join_style="mitre") for blade in blades])
    assert sum(blade.area for blade in blades) == pytest.approx(fan.area, abs=1e-2)
    sewn = fan if centre is None else fan.union(centre.buffer(1e-7))
    assert sewn.difference(block.buffer(1e-6)).area < 1e-6
    # Inside the lines from valley to valley there is fan or centre everywhere, out to the block's own edges.
    blade = plate.second or plate.blade
    inside = shapely.Point(0, 0).buffer(blade.valley_radius_mm * math.cos(blade.half_angle_rad) - 1e-3)
    assert inside.intersection(block).difference(sewn).area < 1e-3
    # And what is seen of background, fan and centre makes up the whole block.
    cut = polygon(cut_list(job, plate).shape("centre")) if centre is not None else None
    if cut is not None and plate.centre and plate.setting is not Setting.CENTRE:
        # A seam beyond the block along straight edges, and the turn beyond the arc; nothing else.
        disc = shapely.Point(0, 0).buffer(plate.centre.cut_radius_mm, quad_segs=4096)
        raw = disc.intersection(block.buffer(blade.seam_mm, join_style="mitre"))
        assert cut.symmetric_difference(raw).area < 1e-4 * raw.area
    seen = block.difference(sewn).area + sewn.intersection(block).area
    assert seen == pytest.approx(block.area, rel=1e-9)
    if centre is not None:
        expected = shapely.Polygon(chords(finished_centre(plate), stray_mm=ARC_MM))
        assert centre.symmetric_difference(expected).area < 1e-4 * expected.area


def test_the_straight_edges_lie_on_the_seams_of_the_block() -> None:
    """From the plate centre to the outermost valley, along both sides of the corner."""
    blades, centre, block, plate = assembled(fan_job(Setting.CORNER, 20, Tip.FOLDED))
    assert centre is not None
    assert block.bounds[:2] == pytest.approx((0.0, 0.0), abs=1e-9)
    along_x, along_y = (shapely.LineString([(0, 0), end]) for end in ((FAR, 0), (0, FAR)))
    sewn = shapely.union_all([*blades, centre]).buffer(1e-6)
    for side in (along_x, along_y):
        assert sewn.intersection(side).length == pytest.approx(plate.blade.valley_radius_mm, abs=1e-3)
    # Their raw edges meet: the outer blades' cut edges lie on the cut edges of the background.
    turned = affinity.rotate(polygon(cut_list(fan_job(Setting.CORNER, 20, Tip.FOLDED), plate).shapes[0]), -81,
                             origin=(0, 0))  # fmt: skip
    assert plate.background
    assert turned.bounds[1] == pytest.approx(plate.background.cut[1], abs=1e-6)


def test_the_numbers_of_a_quarter_and_a_half() -> None:
    """Worked by hand: 5.75 + 1/2 and two seams; r/cos a = 1.2656, and three quarters of an inch more."""
    corner = plate_of(fan_job(Setting.CORNER, 20, Tip.FOLDED))
    assert corner.background
    assert corner.background.is_square
    assert corner.background.cut_width_mm == pytest.approx(6.75 * IN)
    cut = cut_list(fan_job(Setting.CORNER, 20, Tip.FOLDED), corner).shape("centre")
    left, low, right, high = polygon(cut).bounds
    assert (right - left) / IN == pytest.approx(2.0156, abs=5e-5)
    assert (high - low) / IN == pytest.approx(2.0156, abs=5e-5)
    edge = plate_of(fan_job(Setting.EDGE, 20, Tip.FOLDED))
    assert edge.background
    assert edge.background.finished_width_mm == pytest.approx(12.5 * IN)
    assert edge.background.finished_height_mm == pytest.approx(6.25 * IN)
    assert corner.extent_mm / IN == pytest.approx(6.760, abs=5e-4)
    assert edge.extent_mm / IN == pytest.approx(11.358, abs=5e-4)


def test_a_trimmed_background_is_cut_larger_and_ends_as_large() -> None:
    """12 1/2 in finished, 13 in trimmed, 14 in cut; a corner grows at its two free sides alone."""
    job = fan_job(Setting.CENTRE, 20, Tip.FOLDED)
    whole = plate_of(replace(job, background=BackgroundSpec(IN / 2, None, IN))).background
    assert whole
    assert whole.cut_width_mm == pytest.approx(14 * IN)
    assert whole.trimmed_mm == pytest.approx((13 * IN, 13 * IN))
    assert whole.finished_width_mm == pytest.approx(12.5 * IN)
    assert -whole.cut[0] == pytest.approx(whole.cut[2])
    job = fan_job(Setting.CORNER, 20, Tip.FOLDED)
    corner = plate_of(replace(job, background=BackgroundSpec(IN / 2, None, IN))).background
    assert corner
    assert corner.cut[:2] == pytest.approx((-IN / 4, -IN / 4))
    assert corner.cut[2:] == pytest.approx((7.5 * IN, 7.5 * IN))


@pytest.mark.parametrize("name", ["corner-fan", "edge-fan", "two-lengths", "pieced-blades"])
def test_blocks_of_the_fixture_jobs_are_covered(name: str) -> None:
    """The same law for whole jobs, as they are read."""
    check_block(read_job(FIXTURES / name / "job.toml"))


@pytest.mark.parametrize("tip", list(Tip))
def test_blades_of_two_lengths_cover_their_ring(tip: Tip) -> None:
    """Long and short in turn: no overlap, no gap within the short blades' valleys."""
    job = fan_job(Setting.CENTRE, 20, tip)
    check_block(replace(job, plate=replace(job.plate, second_length_mm=4.25 * IN)))


def test_the_numbers_of_two_lengths() -> None:
    """The step by the valley's closed form, 0.5/(cos a + sin a); the extent from the tips' own places."""
    job = fan_job(Setting.CENTRE, 20, Tip.FOLDED)
    plate = plate_of(replace(job, plate=replace(job.plate, sewn=4, second_length_mm=4.25 * IN), centre=None))
    assert plate.step_mm / IN == pytest.approx(0.4370, abs=5e-5)
    radii = [5.75, 5.25, 5.75, 5.25]
    tips = [
        (r * math.cos(math.radians(18 * i)), r * math.sin(math.radians(18 * i))) for i, r in enumerate(radii)
    ]
    furthest = max(math.dist(one, other) for one in tips for other in tips)
    assert plate.extent_mm / IN == pytest.approx(furthest, abs=1e-9)


def test_a_yo_yo_is_cut_twice_as_wide() -> None:
    """3.0312 in finished: 6.5624 in with its turn; half as wide as its fold, which the pen draws."""
    job = fan_job(Setting.CENTRE, 20, Tip.FOLDED)
    spec = CentreSpec(None, IN / 4, None, CentreKind.YO_YO)
    plate = plate_of(replace(job, centre=spec))
    assert plate.centre
    assert 2 * plate.centre.cut_radius_mm / IN == pytest.approx(6.5624, abs=1e-4)
    assert 2 * plate.centre.finished_radius_mm / IN == pytest.approx(3.0312, abs=5e-5)
    shape = cut_list(replace(job, centre=spec), plate).shape("centre")
    left, _, right, _ = polygon(shape).bounds
    assert (right - left) / IN == pytest.approx(6.5624, abs=1e-3)
    (fold,) = centre_shape(plate.centre).marks
    assert isinstance(fold.path, Circle)
    assert fold.path.radius == pytest.approx(2 * plate.centre.finished_radius_mm)


def test_where_all_seams_meet_the_blades_close_without_a_centre() -> None:
    """With no inner radius and no [centre] nothing of the background shows in the middle."""
    job = fan_job(Setting.CENTRE, 20, Tip.FLAT)
    check_block(replace(job, plate=replace(job.plate, inner_radius_mm=0.0), centre=None))


@pytest.mark.parametrize("tip", list(Tip))
@pytest.mark.parametrize("shares", [(0.6,), (0.2, 0.35, 0.9)])
def test_pieced_blades_cover_their_ring(tip: Tip, shares: tuple[float, ...]) -> None:
    """Bands joined by their seams make blades, and the blades a ring, as if each were of one piece."""
    job = fan_job(Setting.CENTRE, 20, tip)
    blade = plate_of(job).blade
    check_block(replace(job, plate=replace(job.plate, bands_mm=bands_at(blade, shares))))


def bands_at(blade: Blade, shares: tuple[float, ...]) -> tuple[float, ...]:
    """Where seams across it lie, as shares of the way from the narrow end to where the tip begins."""
    low, high = blade.inner_radius_mm, blade.tip_base_mm
    return tuple(low + share * (high - low) for share in shares)


@pytest.mark.parametrize("pieced", ["bands", "two"])
@pytest.mark.parametrize("tip", list(Tip))
@pytest.mark.parametrize(("setting", "blades"), [(Setting.CORNER, 20), (Setting.EDGE, 14)])
def test_fans_of_bands_or_of_two_lengths_cover_their_block(
    setting: Setting, blades: int, tip: Tip, pieced: str
) -> None:
    """What holds for a ring holds for a part of one, its background to be trimmed."""
    job = fan_job(setting, blades, tip)
    job = replace(job, background=BackgroundSpec(IN / 2, None, IN))
    two = replace(job.plate, second_length_mm=4.25 * IN)
    bands = replace(job.plate, bands_mm=bands_at(plate_of(job).blade, (0.6,)))
    check_block(replace(job, plate={"bands": bands, "two": two}[pieced]))


@pytest.mark.parametrize("setting", [Setting.CORNER, Setting.EDGE])
def test_a_fan_without_a_centre_closes_in_its_corner(setting: Setting) -> None:
    """All its seams meet in one point, which lies on the block's own seams."""
    job = fan_job(setting, 12, Tip.FLAT)
    check_block(replace(job, plate=replace(job.plate, inner_radius_mm=0.0), centre=None))


def test_the_numbers_of_bands() -> None:
    """B - r_i + s and r_o - b + s, two seams more than the blade; the cut width at the seam by hand."""
    job = fan_job(Setting.CENTRE, 20, Tip.FOLDED)
    plate = plate_of(replace(job, plate=replace(job.plate, bands_mm=(3.5 * IN,))))
    inner, outer = plate.bands
    assert (inner.strip_mm / IN, outer.strip_mm / IN) == pytest.approx((2.5, 2.75))
    assert inner.strip_mm + outer.strip_mm == pytest.approx(plate.blade.length_mm + 2 * plate.blade.seam_mm)
    shapes = cut_list(replace(job, plate=replace(job.plate, bands_mm=(3.5 * IN,))), plate).shapes
    seam = shapely.LineString([(-FAR, 3.5 * IN), (FAR, 3.5 * IN)])
    for shape in shapes[:2]:
        assert polygon(shape).intersection(seam).length / IN == pytest.approx(1.6149, abs=5e-5)
        # Nothing that the pen draws leaves its band.
        held = polygon(shape).buffer(1e-6)
        for mark in shape.marks:
            assert isinstance(mark.path, Path)
            assert held.covers(shapely.LineString([(vertex.x, vertex.y) for vertex in mark.path.vertices]))
    pieced = replace(job, plate=replace(job.plate, bands_mm=(3.5 * IN,)))
    assert dict(needs(pieced)) == {"band-1": 20, "band-2": 20, "centre": 1, "background": 1}


def test_blades_from_a_strip_counted_by_laying_them_down() -> None:
    """42 in: 24 end for end, 17 one way; as many trapezia as fit, laid side by side by shapely."""
    blade = plate_of(fan_job(Setting.CENTRE, 20, Tip.FOLDED)).blade
    assert (end_for_end(blade, 42 * IN), one_way(blade, 42 * IN)) == (24, 17)
    wide, narrow = blade.wide_width_mm / 2, blade.narrow_width_mm / 2
    up = shapely.Polygon([(-narrow, 0), (narrow, 0), (wide, 1), (-wide, 1)])
    down = affinity.scale(up, 1, -1)
    laid = [affinity.translate((up, down)[place % 2], place * (wide + narrow)) for place in range(24)]
    row = shapely.union_all(laid)
    assert row.bounds[2] - row.bounds[0] <= 42 * IN < row.bounds[2] - row.bounds[0] + wide + narrow
