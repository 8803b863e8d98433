"""The job sheet as a whole: safe, the same each time, complete, and silent about what doesn't apply."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from cutfiles.core.units import Unit, fraction_in, shown, sides_shown
from cutfiles.formats.model.tool import Drawn
from cutfiles.geometry.outline import Path
from cutfiles.job.model.job import Face, Job, Setting
from cutfiles.job.schema.field import LONGEST_MM
from cutfiles.nest.base.layout import FabricTally
from cutfiles.plate.measure import plate_of
from cutfiles.sheet.html import job_sheet
from cutfiles.sheet.markup.words import of_shape
from cutfiles.sheet.sections.sizes import seam_section
from cutfiles.tips.registry import Tip
from tests.sheet.jobs import ACROSS, ALL, BY_HAND, HARBOUR, IN, PLAIN_FAN, REST, fabric, sheet_of, words_of
from tests.tips.outlines import TRUTHS

TITLES = ("<script>alert(1)</script>", 'Tide & "shingle" <b>', "a\x07b", "長い航路 ½")


def titles(jobs: tuple[Job, ...]) -> list[str]:
    return [job.title for job in jobs]


@pytest.mark.parametrize("title", TITLES)
def test_a_title_is_text_whatever_it_holds(title: str) -> None:
    """Markup in a title is shown, not obeyed; a control character becomes a replacement sign."""
    sheet = sheet_of(replace(PLAIN_FAN, title=title))
    readable = title.replace("\x07", "\N{REPLACEMENT CHARACTER}")
    assert words_of(sheet.tree.find(".//h1")) == readable
    assert list(sheet.tree.iter("script", "b")) == []


@pytest.mark.parametrize("job", ALL, ids=titles(ALL))
def test_the_sheet_needs_no_network_and_no_script(job: Job) -> None:
    """No script, link or source, and no address but the SVG namespace."""
    sheet = sheet_of(job)
    text = sheet.bytes_.decode()
    assert set(re.findall(r"\w+://[^\"'\s<]*", text)) <= {"http://www.w3.org/2000/svg"}
    assert not re.search(r"\b(?:src|href|onload|url)\b", text)
    assert list(sheet.tree.iter("script", "link", "img", "iframe", "object")) == []


@pytest.mark.parametrize("job", ALL, ids=titles(ALL))
def test_the_same_job_gives_the_same_bytes(job: Job) -> None:
    """Nothing of the hour or the machine is in it."""
    sheet = sheet_of(job)
    again = job_sheet(job, sheet.plate, sheet.layout, sheet.plan, files=sheet.files)
    assert again == sheet.bytes_
    assert again.startswith(b"<!DOCTYPE html>\n")


def test_the_usual_sizes_are_told() -> None:
    """Worked out by hand for twenty blades of 4 3/4 in, 1 1/4 in from the middle."""
    sizes = sheet_of(HARBOUR).section("Sizes")
    for words in (
        "length on its centre line 4 3/4 in",
        "narrow end 7/8 in (0.9022)",
        "wide end 2 7/16 in (2.4068)",
        "angle between the long edges 18°",
        "tip to tip through the middle 11 1/2 in",
        "on a circle of 10 1/16 in ",
        "opening, at its widest 2 1/2 in ",
        "cut, across 3 1/2 in (3.5312)",
        "cut, each side 13 in",
    ):
        assert words in sizes


def test_how_exact_the_seam_must_be_is_told_in_fractions() -> None:
    """A quarter inch of cover allows 0.0386 in: 1/32 is safe, 1/16 is not."""
    words = sheet_of(HARBOUR).section("How exact")
    assert "no side seam is more than 1/32 in too narrow" in words
    assert "1/32 in 3/16 in 2 15/16 in yes" in words
    assert "1/16 in 3/8 in 3 5/16 in no; make one of 3 13/16 in" in words


def test_without_a_centre_nothing_is_said_of_one() -> None:
    """Neither sizes nor steps nor the template's caution."""
    text = sheet_of(PLAIN_FAN).text
    assert not re.search(r"[Tt]he centre\b|Centre covers|metal template", text)
    assert "the centre" in sheet_of(HARBOUR).text.lower()


CAUTIONS = {
    "hands, hair and sleeves": (HARBOUR, PLAIN_FAN, ACROSS),
    "Rotary cutter": (HARBOUR, ACROSS, BY_HAND),
    "Iron:": ALL,
    "Pins and needles: count them": ALL,
    "metal stays hot": (HARBOUR, PLAIN_FAN, ACROSS),
    "card scorches under steam": (HARBOUR, PLAIN_FAN, ACROSS),
    "heat sets the ink of some, and cold brings back": (HARBOUR, ACROSS, BY_HAND),
    "Follow the machine's manual, local rules": (HARBOUR, PLAIN_FAN, ACROSS),
    "Follow what the makers of cutter, ruler and iron say": (BY_HAND,),
}


@pytest.mark.parametrize("job", ALL, ids=titles(ALL))
@pytest.mark.parametrize("caution", CAUTIONS)
def test_a_caution_is_given_where_it_applies_and_only_there(caution: str, job: Job) -> None:
    """The knife where a machine cuts, the cutter where a hand does, the pen where lines are drawn."""
    assert (caution in sheet_of(job).section("Take care")) == (job in CAUTIONS[caution])


def test_lines_on_the_good_side_are_a_caution() -> None:
    """Only for the fabric that lies right side up under a pen."""
    drawing = replace(PLAIN_FAN, machine=replace(PLAIN_FAN.machine, draw=(Drawn.SEW,)))
    assert "Lying right side up, shingle will show" in sheet_of(drawing).section("Take care")
    assert "Lying right side up" not in sheet_of(PLAIN_FAN).section("Take care")


# Of a cloth that gives both, backgrounds lie right side up and blades wrong side up.
TWO_SIDED = replace(
    HARBOUR,
    plate=replace(HARBOUR.plate, blades=12, sewn=12, blade_length_mm=2.5 * IN, inner_radius_mm=0.75 * IN),
    centre=None,
    fabrics=(
        fabric(
            "tide",
            24,
            16,
            2,
            cuts=(("blade", REST), ("background", REST)),
            faces=(("blade", Face.WRONG_SIDE_UP), ("background", Face.RIGHT_SIDE_UP)),
        ),
    ),
)


def test_each_side_of_a_cloth_is_told_where_it_is_cut_and_laid() -> None:
    """Pieces of which each lies one side up, roughly cut; the background has its guides."""
    sheet = sheet_of(TWO_SIDED)
    rough = sheet.section("Before cutting: rough cuts")
    assert "tide: some pieces right side up, some wrong side up, as it says beside each." in rough
    assert "24 × 16 in, right side up: " in rough
    assert "24 × 16 in, wrong side up: " in rough
    sides = {
        placement.shape: laid.face
        for load in sheet.layout.loads
        for laid in load.fabrics
        for placement in laid.placements
    }
    assert sides == {"blade": Face.WRONG_SIDE_UP, "background": Face.RIGHT_SIDE_UP}
    for number, load in enumerate(sheet.layout.loads, start=1):
        words = sheet.section(f"Load {number} of")
        assert all((face.value in words) == (face in {laid.face for laid in load.fabrics}) for face in Face)
    assert "It hides the lines drawn there" in sheet.section("Sewing")
    assert "Lying right side up, tide will show" in sheet.section("Take care")


def test_a_length_that_lies_both_ways_is_cut_up_one_side_up() -> None:
    """What is laid down the other way is turned over on the mat, as its load says."""
    (tide,) = TWO_SIDED.fabrics
    tide = replace(tide, length_mm=LONGEST_MM, pieces=1, as_needed=True)
    sheet = sheet_of(replace(TWO_SIDED, fabrics=(tide,)))
    rough = sheet.section("Before cutting: rough cuts")
    assert "tide: right side up." in rough
    assert "wrong side up" not in rough
    assert "wrong side up" in sheet.section(f"Load {len(sheet.layout.loads)} of")


def test_every_face_and_every_direction_is_told() -> None:
    """Which side lies up, where the arrow points, and the print's top."""
    fan, across = sheet_of(PLAIN_FAN), sheet_of(ACROSS)
    loads = " ".join(fan.section(f"Load {n + 1} of") for n in range(len(fan.layout.loads)))
    assert "wrong side up" in loads
    assert "right side up" in loads
    for number, load in enumerate(across.layout.loads, start=1):
        words = across.section(f"Load {number} of")
        ways = {"to the left" if laid.turn_deg else "away from you" for laid in load.fabrics}
        for way in ("to the left", "away from you"):
            assert (way in words) == (way in ways)
        assert ("print runs one way" in words) == any(laid.fabric == "tide" for laid in load.fabrics)


@pytest.mark.parametrize("job", [HARBOUR, ACROSS], ids=titles((HARBOUR, ACROSS)))
def test_every_rough_cut_is_listed_with_size_place_and_goal(job: Job) -> None:
    """Alike ones counted in one row, and drawn each where it is cut."""
    sheet = sheet_of(job)
    rows = [words_of(row) for row in rows_under(sheet.tree, "Before cutting")]
    cuts = sheet.layout.rough_cuts
    assert cuts
    for cut in cuts:
        square = abs(cut.width_mm - cut.length_mm) < 1e-6
        size = sides_shown(cut.width_mm, cut.length_mm, job.unit)
        size = f"{shown(cut.width_mm, job.unit)} square" if square else size
        assert any(size in row and cut.goes_to in row for row in rows)
    section = next(part for part in sheet.tree.iter("section") if "rough cuts" in (part.findtext("h2") or ""))
    drawn = sum(len(picture.findall("rect")) - 1 for picture in section.iter("svg"))  # one is the cloth
    alike: dict[tuple[str, int], list[tuple[float, float, float, float]]] = {
        (cut.fabric, cut.piece): [] for cut in cuts
    }
    for cut in cuts:
        alike[cut.fabric, cut.piece].append((cut.x_mm, cut.y_mm, cut.width_mm, cut.length_mm))
    pictures = {(fabric, tuple(boxes)) for (fabric, _), boxes in alike.items()}
    assert drawn == sum(len(boxes) for _, boxes in pictures)


def rows_under(tree: object, heading: str) -> list[object]:
    return tree.xpath(f"//section[starts-with(h2, '{heading}')]//tbody/tr")  # type: ignore[attr-defined]


@pytest.mark.parametrize("job", ALL, ids=titles(ALL))
def test_the_cutting_list_agrees_with_the_layout(job: Job) -> None:
    """Counted from the pieces that are laid or cut by hand, not from the layout's own tally."""
    sheet = sheet_of(job)
    words = sheet.section("Cutting list")
    for spec in job.fabrics:
        counts: dict[str, int] = {}
        for load in sheet.layout.loads:
            for laid in load.fabrics:
                for placement in laid.placements:
                    if laid.fabric == spec.name:
                        counts[placement.shape] = counts.get(placement.shape, 0) + 1
        for cut in sheet.layout.hand_cuts:
            if cut.fabric == spec.name:
                counts[cut.shape] = counts.get(cut.shape, 0) + cut.count
        # Fabrics that give the same share a row, which begins with all their names.
        named = re.search(rf"(?<!\w){re.escape(spec.name)}[ ,]", words)
        assert named
        row = words[named.start() :]
        for shape, count in counts.items():
            name = shape if count == 1 else f"{shape}s"
            said = f"{count} {name}" if shape != "leaf" else f"{count} × {shape}"
            assert said in row
        tally = next(tally for tally in sheet.layout.tallies if tally.fabric == spec.name)
        if tally.counts and tally.pieces > tally.pieces_used:
            assert f"{tally.pieces - tally.pieces_used} whole piece" in row
        if tally.left and min(tally.left.width_mm, tally.left.length_mm) > 30:
            assert tally.left.size(job.unit) in row
        for shape, count in tally.counts:
            proven = count == dict(tally.at_most).get(shape)
            all_ = "no more can fit" if proven else "all it was found to hold"
            assert (f"{of_shape(count, shape)} ({all_})" in row) == (shape in tally.limited)
    # What only the area bounds is no promise.
    assert "at most" not in words


def test_a_background_cut_by_hand_comes_with_every_mark() -> None:
    """Side, circles and rays: the rays' angles are those of the lines that a machine would draw."""
    sheet = sheet_of(HARBOUR)
    words = sheet.section("Cut by hand")
    assert "Square, 13 in each side" in words
    assert "Opening circle: 2 1/2 in (2.5312) across" in words
    assert "Guide circle:" in words
    assert "The plate hides it" in words
    said = [float(angle) for angle in re.findall(r"([\d.]+)°", words.split("counter-clockwise:")[1])]
    opening = sheet.plate.blade.opening_radius_mm
    paths = [mark.path for mark in sheet.layout.shape("background").marks if isinstance(mark.path, Path)]
    starts = [(path.vertices[0].x, path.vertices[0].y) for path in paths]
    # The two lines of the cross lie inside the opening.
    rays = [math.degrees(math.atan2(y, x)) % 360.0 for x, y in starts if math.hypot(x, y) > 0.99 * opening]
    assert len(rays) == 20
    assert said == pytest.approx(sorted(round(ray, 2) % 360.0 for ray in rays))


def test_blades_cut_by_hand_come_with_their_sizes_and_marks() -> None:
    """A wedge of 14 in with seams, the tip's seam and the fold."""
    words = sheet_of(BY_HAND).section("The pieces one by one")
    assert "5 blades: 5 from tide" in words
    assert "Wedge, 14 in long on its centre line" in words
    assert "Sew lines: 1/4 in inside each long edge" in words
    assert "straight across, 1/4 in below the wide end" in words
    assert "Fold line: the centre line" in words


@pytest.mark.parametrize("tip", Tip)
def test_the_sewing_steps_are_those_of_the_tip(tip: Tip) -> None:
    """And of no other."""
    words = sheet_of(replace(PLAIN_FAN, plate=replace(PLAIN_FAN.plate, tip=tip))).section("Sewing")
    assert [other for other in Tip if TRUTHS[other].step in words] == [tip]


def test_a_ring_is_closed_and_a_fan_is_not() -> None:
    """The last seams are only told of a ring."""
    assert "with the last two seams" in sheet_of(HARBOUR).section("Sewing")
    assert "last two seams" not in sheet_of(PLAIN_FAN).section("Sewing")


def test_what_people_should_know_is_at_the_end() -> None:
    """Notes of the nest and of the tool paths, word for word; no heading where there are none."""
    sheet = sheet_of(PLAIN_FAN)
    layout = replace(sheet.layout, notes=("blade: 2 to spare",))
    plan = replace(sheet.plan, notes=("blade: no room for a <label>",))
    noted = job_sheet(sheet.job, sheet.plate, layout, plan, files=sheet.files).decode()
    assert "blade: 2 to spare" in noted
    assert "no room for a &lt;label&gt;" in noted
    assert "<h2>Notes</h2>" in noted
    bare = replace(sheet.layout, notes=()), replace(sheet.plan, notes=())
    assert b"<h2>Notes</h2>" not in job_sheet(sheet.job, sheet.plate, *bare, files=sheet.files)


def test_every_step_has_a_box_to_tick() -> None:
    """In the loads as in the sewing."""
    tree = sheet_of(HARBOUR).tree
    items = tree.xpath("//ol/li")
    assert len(items) > 20
    assert all(item[0].get("class") == "box" for item in items)


def test_where_a_fabric_lies_is_told_as_a_ruler_has_it() -> None:
    """To the nearest sixteenth, without decimals."""
    sheet = sheet_of(HARBOUR)
    first = sheet.layout.loads[0].fabrics[0]
    words = f"{fraction_in(first.x_mm)} in right, {fraction_in(first.y_mm)} in up"
    assert words in sheet.section("Load 1 of")


def test_fabric_that_gives_nothing_is_named() -> None:
    """So that nobody looks for it on the mat."""
    sheet = sheet_of(PLAIN_FAN)
    idle = FabricTally("rope", 4, 0, (), (), 0.0)
    layout = replace(sheet.layout, tallies=(*sheet.layout.tallies, idle))
    named = job_sheet(sheet.job, sheet.plate, layout, sheet.plan, files=sheet.files)
    assert b"Nothing is cut from: rope." in named
    assert "Nothing is cut from" not in sheet.text


@pytest.mark.parametrize(
    ("sewn", "setting", "measured", "more"),
    [
        (20, Setting.CENTRE, "the opening that came out, at its widest", "1/2 in larger across"),
        (10, Setting.EDGE, "from the middle, on the block's seam line", "An arc 1/4 in further"),
        (5, Setting.CORNER, "from the corner that the block's seam lines make", "An arc 1/4 in further"),
        (5, Setting.CENTRE, "from where the fan's two outer edges would meet", "twice that and 1/2 in more"),
    ],
)
def test_an_opening_is_measured_where_it_can_be(
    sewn: int, setting: Setting, measured: str, more: str
) -> None:
    """Nobody measures a quarter of a ring across its opening; a cover of 1/4 in is one on each side."""
    job = replace(HARBOUR, plate=replace(HARBOUR.plate, sewn=sewn, setting=setting))
    words = words_of(seam_section(plate_of(job), Unit.IN))
    (sentence,) = re.findall(r"Before you make the centre, measure (.*?, finished, covers it)", words)
    assert sentence.startswith(measured)
    assert more in sentence
    assert ("Opening becomes" in words) is (setting is Setting.CENTRE)
