"""The sewing pictures show this very plate; shapes are worked out another way, by half planes and mirrors."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings
from lxml import etree
from PIL import ImageFont
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from cutfiles.core.tolerance import CHORD_MM
from cutfiles.core.units import Unit
from cutfiles.geometry.outline import Contour, Path, chords
from cutfiles.job.model.job import CentreKind, Face, MatSpec, Setting
from cutfiles.plate.blade import Blade
from cutfiles.plate.measure import plate_of
from cutfiles.plate.plate import Background, Centre, Plate
from cutfiles.sheet.pictures.sewing.bands import band_stages
from cutfiles.sheet.pictures.sewing.centre import centre_stages
from cutfiles.sheet.pictures.sewing.joins import join_stages
from cutfiles.sheet.pictures.sewing.placing import placing_stages
from cutfiles.sheet.pictures.sewing.stage import stage_drawing
from cutfiles.tips.finish import turned_outline
from cutfiles.tips.registry import Tip
from cutfiles.tips.stage import LineKind, Stage, Surface
from tests.sheet.jobs import HARBOUR, sheet_of
from tests.strategies import blades, plates
from tests.tips.outlines import FAR_MM, TRUTHS

IN = 25.4
SVG = "{http://www.w3.org/2000/svg}"
REFERENCE = plate_of(HARBOUR)
FONT = ImageFont.load_default(size=100)


def polygon(contour: Contour) -> BaseGeometry:
    return shapely.Polygon(chords(contour, stray_mm=CHORD_MM))


def of_side(stage: Stage, side: Surface) -> BaseGeometry:
    # On a grid: edges that are the same but for the last bit once lost the geometry library a whole blade.
    shapes = [polygon(patch.outline) for patch in stage.patches if patch.side is side]
    return shapely.union_all(shapes, grid_size=1e-6)


def has_long_edges(blade: Blade) -> bool:
    """Whether the tip leaves anything of the cut edges: not on a short blade with a wide seam."""
    return blade.tip.finish.raw_top(blade)[1] > blade.inner_radius_mm


def stages_of(plate: Plate, *, guided: bool = True) -> list[Stage]:
    return [
        *band_stages(plate),
        *plate.blade.tip.finish.stages(plate.blade),
        *join_stages(plate),
        *centre_stages(plate),
        *placing_stages(plate, guided=guided),
    ]


def stage_called(plate: Plate, words: str) -> Stage:
    (stage,) = (stage for stage in stages_of(plate) if words in stage.caption)
    return stage


def whole(blades_in_circle: int, tip: Tip = Tip.FLAT) -> Plate:
    blade = Blade(blades_in_circle, 1.25 * IN, 12 * IN, 0.25 * IN, tip)
    hole = blade.opening_radius_mm
    return Plate(1, blade, blades_in_circle, Centre(hole + 6, hole + 12), Background.square(900.0, 880.0))


def test_the_reference_plates_pair_is_drawn_as_wide_as_it_must_measure() -> None:
    """1.2822 in over both outer corners of the narrow end: of each cut blade, turned by half its angle."""
    (measure,) = stage_called(REFERENCE, "Press and measure").measures
    assert math.dist(measure.start, measure.end) == pytest.approx(1.2822 * IN, abs=0.001)
    cut = TRUTHS[Tip.FOLDED].cut(REFERENCE.blade)
    low = REFERENCE.blade.inner_radius_mm
    narrow = cut.intersection(shapely.LineString([(-FAR_MM, low), (FAR_MM, low)]))
    right = max(affinity.rotate(narrow, -9.0, origin=(0, 0)).coords)
    assert measure.end == pytest.approx(right, abs=1e-6)
    drawn = of_side(stage_called(REFERENCE, "Press and measure"), Surface.RIGHT)
    assert drawn.boundary.distance(shapely.Point(right)) < 1e-6
    texts = [*stage_drawing(stage_called(REFERENCE, "Press and measure"), Unit.IN).iter(f"{SVG}text")]
    assert [text.text for text in texts] == ["1 5/16 in (1.2822)"]


@pytest.mark.parametrize("tip", Tip)
@pytest.mark.parametrize("count", [6, 12, 16, 20, 60])
def test_a_drawn_half_has_its_edges_in_one_line(count: int, tip: Tip) -> None:
    """Nothing lies below that line, and on both sides of the opening a whole cut edge lies on it."""
    plate = whole(count, tip)
    stage = stage_called(plate, "Lay the half")
    drawn, (edge,) = of_side(stage, Surface.RIGHT), stage.marks
    level = -plate.blade.seam_mm
    assert drawn.bounds[1] == pytest.approx(level)
    assert isinstance(edge.path, Path)
    assert {vertex.y for vertex in edge.path.vertices} == {level}
    # A hair above it, so that nothing depends on the last bit.
    on_it = drawn.intersection(shapely.LineString([(-FAR_MM, level + 1e-6), (FAR_MM, level + 1e-6)]))
    left, right = sorted(shapely.get_parts(on_it), key=lambda part: part.bounds[0])
    cut = TRUTHS[tip].cut(plate.blade).intersection(shapely.box(-FAR_MM, 0, FAR_MM, FAR_MM))
    assert left.length == pytest.approx(right.length, abs=1e-4)
    assert 0.5 * cut.bounds[3] < plate.blade.inner_radius_mm + right.length < 1.2 * cut.bounds[3]
    assert left.bounds[2] < 0 < right.bounds[0]


@pytest.mark.parametrize("count", [3, 5, 7, 15, 21])
def test_a_part_that_is_no_half_lies_in_its_angle(count: int) -> None:
    """Its two outer cut edges lie on the two lines, which are as far apart in angle as is told."""
    plate = whole(count)
    stage = next(stage for stage in stages_of(plate) if stage.caption.startswith("Lay the part"))
    edges = [shapely.LineString(chords(mark.path, stray_mm=CHORD_MM)) for mark in stage.marks]
    drawn = of_side(stage, Surface.RIGHT)
    for edge in edges:
        assert drawn.boundary.intersection(edge.buffer(1e-4)).length > 0.7 * edge.length
    (x0, y0), (x1, y1) = edges[0].coords[0], edges[0].coords[-1]
    (x2, y2), (x3, y3) = edges[1].coords[0], edges[1].coords[-1]
    turned = math.degrees(math.atan2(y3 - y2, x3 - x2) - math.atan2(y1 - y0, x1 - x0)) % 360
    assert turned == pytest.approx((count + 1) // 2 * 360 / count)
    (note,) = stage.notes
    assert float(note.text.rstrip("°")) == pytest.approx(turned, abs=0.25)


@given(blade=blades(tip=Tip.FOLDED))
@settings(max_examples=40, deadline=None)
def test_a_points_facing_is_what_lay_beyond_its_folds_mirrored(blade: Blade) -> None:
    """Folded at 45° lines through the tip; what is a seam above the seam lies inside, and isn't seen."""
    assume(has_long_edges(blade))
    cut = (
        TRUTHS[Tip.FOLDED]
        .cut(blade)
        .intersection(shapely.box(-FAR_MM, blade.inner_radius_mm, FAR_MM, blade.tip_radius_mm))
    )
    tip = blade.tip_radius_mm
    right = cut.intersection(shapely.Polygon([(0, tip), (FAR_MM, tip), (FAR_MM, tip - FAR_MM)]))
    # At x + y = tip: (x, y) goes to (tip - y, tip - x).
    mirrored = affinity.affine_transform(right, [0, -1, -1, 0, tip, tip])
    facing = shapely.union_all([polygon(path) for path in blade.tip.finish.facing(blade)])
    both = shapely.union_all([mirrored, affinity.scale(mirrored, -1, 1, origin=(0, 0))])
    assert facing.symmetric_difference(both).area < 1e-6 * cut.area
    # Area is kept: what is seen from the back, and the facing that was cut beside it.
    back = polygon(turned_outline(blade.tip.finish, blade))
    assert back.area + facing.area == pytest.approx(cut.area, rel=1e-6)


@given(blade=blades(tip=Tip.FLAT))
@settings(max_examples=40, deadline=None)
def test_a_flat_ends_fold_keeps_its_area(blade: Blade) -> None:
    """What is seen and what is turned make the cut blade."""
    back = polygon(turned_outline(blade.tip.finish, blade)).area
    facing = sum(polygon(path).area for path in blade.tip.finish.facing(blade))
    cut = (
        TRUTHS[Tip.FLAT].cut(blade).intersection(shapely.box(-FAR_MM, blade.inner_radius_mm, FAR_MM, FAR_MM))
    )
    assert back + facing == pytest.approx(cut.area, rel=1e-6)


def test_a_round_ends_template_is_drawn_at_its_size() -> None:
    """Of 16 blades 5 in long from 1 in on: 0.9386 in, without seam; pressed, the edge is that arc."""
    blade = Blade(16, 1.0 * IN, 5.0 * IN, 0.25 * IN, Tip.ROUND)
    stages = blade.tip.finish.stages(blade)
    (measure,) = stages[1].measures
    assert math.dist(measure.start, measure.end) == pytest.approx(0.9386 * IN, abs=0.002)
    card = of_side(stages[1], Surface.CARD)
    assert card.area == pytest.approx(math.pi * (0.9386 * IN) ** 2, rel=1e-3)
    assert TRUTHS[Tip.ROUND].finished(blade).buffer(0.01).covers(card)


# Most plates that the strategy draws have a blade too short at the sides or too near to the middle.
@given(plate=plates())
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_joined_blades_lie_side_by_side(plate: Plate) -> None:
    """Of every group no blade lies on another, and what is seen of them is one piece of cloth."""
    assume(has_long_edges(plate.blade) and plate.blade.inner_radius_mm > plate.blade.seam_mm)
    for stage in join_stages(plate):
        if stage.caption == "Join two" or "Turn under" in stage.caption:
            continue
        shapes = [polygon(patch.outline) for patch in stage.patches]
        together = shapely.union_all([shape.buffer(1e-4) for shape in shapes], grid_size=1e-6)
        area = sum(shape.area for shape in shapes)
        # Raw edges of two groups may lie on each other, a seam of each; so may both of nearly a whole circle.
        in_one = stage.caption.startswith(("Lay", "Press"))
        groups = (2 if plate.sweep_deg > 300 else 1) if in_one else len(stage.notes) or 2
        spare = (groups - 1) * 2 * plate.blade.seam_mm * 1.5 * plate.blade.outer_radius_mm
        assert together.area >= area - spare - 1e-3 * area
        if stage.caption.startswith(("Lay", "Press")):
            assert together.geom_type == "Polygon"


@pytest.mark.parametrize("count", [5, 12, 15, 20])
def test_the_last_seams_are_as_long_as_they_are_sewn(count: int) -> None:
    """From the opening's corner to the valley, on both sides, in the gap between two parts."""
    plate = whole(count)
    stage = stage_called(plate, "Last two seams")
    seams = [shapely.LineString(chords(mark.path, stray_mm=CHORD_MM)) for mark in stage.marks]
    assert [seam.length for seam in seams] == pytest.approx([plate.blade.seam_length_mm] * 2)
    parts = shapely.get_parts(of_side(stage, Surface.RIGHT).buffer(1e-5))
    assert len(parts) == 2
    assert all(any(part.distance(seam) < 1e-3 for part in parts) for seam in seams)


@pytest.mark.parametrize("setting", Setting)
def test_what_is_trimmed_is_what_the_background_is_too_large_by(setting: Setting) -> None:
    """Dark strips and the trimmed block make the cut background; a fan's own two edges stay whole."""
    sewn = {Setting.CENTRE: 20, Setting.CORNER: 5, Setting.EDGE: 10}[setting]
    job = replace(HARBOUR, plate=replace(HARBOUR.plate, sewn=sewn, setting=setting))
    assert job.background is not None
    plate = plate_of(replace(job, background=replace(job.background, trim_mm=IN)))
    assert plate.background is not None
    stage = next(stage for stage in reversed(stages_of(plate)) if stage.caption == "Trim")
    width, height = plate.background.trimmed_mm
    off = of_side(stage, Surface.CUT_OFF)
    assert off.area == pytest.approx(
        plate.background.cut_width_mm * plate.background.cut_height_mm - width * height
    )
    left, low, _, _ = plate.background.cut
    kept = shapely.box(*plate.background.cut).difference(off)
    assert kept.bounds[2] - kept.bounds[0] == pytest.approx(width)
    assert kept.bounds[3] - kept.bounds[1] == pytest.approx(height)
    assert (kept.bounds[0] == pytest.approx(left)) is (setting is Setting.CORNER)
    assert (kept.bounds[1] == pytest.approx(low)) is (setting is not Setting.CENTRE)


def test_bands_are_drawn_as_cut_and_as_joined() -> None:
    """Cut, they are two seams taller for a seam between two; joined they have the whole blade's outline."""
    job = replace(HARBOUR, plate=replace(HARBOUR.plate, bands_mm=(3.5 * IN,)))
    plate = plate_of(job)
    (stage,) = band_stages(plate)
    shapes = [polygon(patch.outline) for patch in stage.patches]
    heights = [shape.bounds[3] - shape.bounds[1] for shape in shapes[:2]]
    assert heights == pytest.approx([2.5 * IN, 2.75 * IN])
    joined = shapely.union_all([shape.buffer(1e-6) for shape in shapes[2:]])
    cut = (
        TRUTHS[Tip.FOLDED]
        .cut(plate.blade)
        .intersection(shapely.box(-FAR_MM, plate.blade.inner_radius_mm, FAR_MM, FAR_MM))
    )
    assert joined.area == pytest.approx(cut.area, rel=1e-4)
    (measure,) = stage.measures
    assert math.dist(measure.start, measure.end) == pytest.approx(4.75 * IN)


@pytest.mark.parametrize(
    ("plate", "there", "missing"),
    [
        (
            whole(20, Tip.FOLDED),
            ["Fold lengthwise", "Groups: 4 + 4 + 2", "on the creases", "knot"],
            ["Turn under"],
        ),
        (whole(15, Tip.ROUND), ["Gathering stitch", "Lay the part", "Last two seams"], ["half", "Fold"]),
        (replace(whole(20), sewn=5), ["Pairs: 2 + 2 + 1", "Lay the fan down"], ["Last two", "half"]),
        (replace(whole(20), sewn=1), ["The fold"], ["Join two", "Press and measure", "Lay the"]),
        (replace(whole(20), sewn=2), ["Press and measure"], ["Pairs", "Lay the", "Last two"]),
        (replace(whole(20), background=None), ["knot"], ["creases", "Guides"]),
        (replace(whole(20), centre=None), ["on the creases"], ["knot", "template on it"]),
        (
            replace(whole(12), centre=Centre(50.0, 106.0, CentreKind.YO_YO)),
            ["draw up, knot, flatten"],
            ["template on it"],
        ),
        (
            replace(whole(12), centre=Centre(50.0, 50.0)),
            ["on the creases"],
            ["template on it", "stitch round"],
        ),
    ],
)
def test_only_the_pictures_that_apply_are_drawn(plate: Plate, there: list[str], missing: list[str]) -> None:
    """What a plate lacks isn't drawn; of guides only where the pen draws any."""
    captions = [stage.caption for stage in stages_of(plate)]
    for words in there:
        assert sum(words in caption for caption in captions) == 1, words
    for words in missing:
        assert not any(words in caption for caption in captions), words
    assert any("Guides" in caption for caption in captions) is (plate.background is not None)
    assert not any("Guides" in stage.caption for stage in stages_of(plate, guided=False))


@given(plate=plates())
@settings(max_examples=25, deadline=None)
def test_every_picture_stays_on_its_paper(plate: Plate) -> None:
    """Each is told in words for those who can't see it, fits a column, and cuts no text off."""
    captions = []
    for stage in stages_of(plate):
        svg = stage_drawing(stage, Unit.IN)
        title = svg.find(f"{SVG}title")
        assert title is not None
        assert title.text == stage.seen
        assert stage.seen.endswith(".")
        captions.append(stage.caption)
        left, top, width, height = (float(part) for part in svg.get("viewBox", "").split())
        assert (left, top) == (0, 0)
        assert max(width, height) <= 34.6
        for text in svg.iter(f"{SVG}text"):
            size, x, y = (float(text.get(key, "")) for key in ("font-size", "x", "y"))
            half = FONT.getlength(text.text or "") * size / 200
            assert x - half >= 0
            assert x + half <= width
            assert size * 0.6 <= y <= height
    assert len(set(captions)) == len(captions)


def _grey(colour: str) -> float:
    red, green, blue = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return 0.299 * red + 0.587 * green + 0.114 * blue


def test_sides_are_told_apart_without_colour() -> None:
    """Printed in grey a right side is darker than a wrong side, what is cut off darker still."""
    greys: dict[str, set[float]] = {}
    for stage in stages_of(REFERENCE) + stages_of(replace(REFERENCE, second=None)):
        for element in stage_drawing(stage, Unit.IN).iter():
            if isinstance(element.tag, str) and element.get("data-side"):
                greys.setdefault(element.get("data-side", ""), set()).add(_grey(element.get("fill", "")))
    assert min(greys["wrong side"]) - max(greys["right side"]) > 0.15
    assert min(greys["right side"]) - max(greys["cut off"]) > 0.3


def test_the_sheet_has_its_pictures_in_the_order_of_sewing() -> None:
    """Twelve for the reference plate, numbered from 1; each stands above the steps that it belongs to.

    The mat takes its background, so that guides are drawn on it.
    """
    large = replace(HARBOUR, mat=MatSpec(24 * IN, 24 * IN, IN / 4))
    (section,) = (s for s in sheet_of(large).tree.iter("section") if s.findtext("h2") == "Sewing")
    numbers = [figure.findtext("figcaption/span") for figure in section.iter("figure")]
    assert numbers == [str(number + 1) for number in range(12)]
    order = [
        "Fold lengthwise", "Sew across", "Trim the corner", "Turn and press", "Join two", "Press and measure",
        "Groups", "Lay the half", "Last two seams", "stitch round", "Guides", "on the creases",
    ]  # fmt: skip
    captions = [figure.xpath("string(figcaption)") for figure in section.iter("figure")]
    assert all(words in str(caption) for words, caption in zip(order, captions, strict=True))
    (columns,) = section.findall("div")
    assert [element.get("class", "") for element in columns] == ["above", "steps"] * 4


def test_stitches_and_folds_have_dashes_of_their_own() -> None:
    """No two kinds of line look alike."""
    looks: dict[str, set[str]] = {}
    for stage in stages_of(REFERENCE):
        scale = stage_drawing(stage, Unit.IN)
        for element in scale.iter():
            if isinstance(element.tag, str) and element.get("data-stroke"):
                dashes = element.get("stroke-dasharray", "").split()
                first = float(dashes[0]) if dashes else 1.0
                shape = " ".join(f"{float(dash) / first:.1f}" for dash in dashes)
                looks.setdefault(shape, set()).add(element.get("data-stroke", ""))
    assert looks.pop("") <= {LineKind.EDGE.value, LineKind.CREASE.value}
    assert sorted(map(sorted, looks.values())) == [["fold"], ["hidden"], ["sewn"]]
    assert etree.tostring(stage_drawing(stages_of(REFERENCE)[0], Unit.IN)) == etree.tostring(
        stage_drawing(stages_of(REFERENCE)[0], Unit.IN)
    )


def test_no_word_of_guides_where_none_are_drawn() -> None:
    """A background cut by hand, as the mat doesn't take it, has none, nor has one that lies wrong side up."""
    large = replace(HARBOUR, mat=MatSpec(24 * IN, 24 * IN, IN / 4))
    turned = tuple(replace(fabric, face=Face.WRONG_SIDE_UP) for fabric in large.fabrics)
    jobs = (large, HARBOUR, replace(large, fabrics=turned))
    guided = []
    for job in jobs:
        (section,) = (s for s in sheet_of(job).tree.iter("section") if s.findtext("h2") == "Sewing")
        words = "".join(section.itertext())
        guided.append(("It hides the lines drawn there" in words, "guides" in words))
    assert guided == [(True, True), (False, False), (False, False)]
