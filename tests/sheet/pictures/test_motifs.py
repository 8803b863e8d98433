"""A job cut from prints that repeat, from its file to layout.json and the job sheet."""

from __future__ import annotations

import math
from collections import Counter
from typing import Any

import pytest
from lxml import html

from cutfiles.pipeline import Made, Options, make, size
from tests.cli.commands import ROOT, cutfiles
from tests.conftest import briefly

JOB = ROOT / "fixtures/jobs/harbour-motif/job.toml"
IN = 25.4
# Fabric width, repeat and motif as the job has them, in inches.
PRINTS = {"lantern": (42, 4, 6, 2, 0.5), "samphire": (22, 2, 2.5, 1, 0.5)}


@pytest.fixture(scope="module")
def made() -> Made:
    """The job, made once."""
    return make(size(JOB), Options(around_search=briefly))


def _texts(made: Made) -> list[str]:
    page = html.fromstring(made.files["job-sheet.html"])
    return [" ".join(item.text_content().split()) for item in page.iter("li", "p")]


def _misses(made: Made) -> list[float]:
    """By how much each origin misses the motif, from the numbers of layout.json alone."""
    layout: dict[str, Any] = made.layout
    misses = []
    for load in layout["loads"]:
        for fabric in load["fabrics"]:
            if fabric["fabric"] not in PRINTS:
                assert "repeat" not in fabric
                continue
            width, across, along, motif_x, motif_y = (side * IN for side in PRINTS[fabric["fabric"]])
            (cut,) = [
                rough_cut
                for rough_cut in layout["rough_cuts"]
                if (rough_cut["fabric"], rough_cut["goes_to"], rough_cut["width_mm"], rough_cut["length_mm"])
                == (fabric["fabric"], load["name"], fabric["width_mm"], fabric["length_mm"])
            ]
            for piece in fabric["pieces"]:
                x, y = piece["x_mm"] - fabric["x_mm"], piece["y_mm"] - fabric["y_mm"]
                if fabric["turn_deg"] == 90:
                    x, y = y, fabric["length_mm"] - x
                # Wrong side up: the right side's left edge lies to the right.
                x, y = width - (x + cut["x_mm"]), y + cut["y_mm"]
                miss_x, miss_y = math.remainder(x - motif_x, across), math.remainder(y - motif_y, along)
                misses.append(math.hypot(miss_x, miss_y))
    return misses


def test_layout_json_keeps_every_origin_on_the_motif(made: Made) -> None:
    """To the rounding of its six decimals: twenty blades of each, and a centre."""
    misses = _misses(made)
    assert len(misses) == 41
    assert max(misses) < 5e-6


def test_a_two_way_print_is_cut_end_for_end(made: Made) -> None:
    """And a one-way print isn't."""
    turns: dict[str, Counter[float]] = {name: Counter() for name in (*PRINTS, "sailcloth")}
    for load in made.nested.loads:
        for laid in load.fabrics:
            for placement in laid.placements:
                turns[laid.fabric][(placement.pose.turn_deg - laid.turn_deg) % 360] += 1
    assert set(turns["lantern"]) == {0.0}
    assert set(turns["samphire"]) == {0.0, 180.0}


def test_the_sheet_says_how_to_trim_and_where_to_look(made: Made) -> None:
    """On the right side before cutting, on the mat as it lies."""
    texts = _texts(made)
    assert (
        "lantern: the motif 2 in from the left edge and 1/2 in from the lower edge; the print repeats every "
        "4 × 6 in." in texts
    )
    assert any("the plate's centre, 1 1/4 in below its narrow end" in text for text in texts)
    looks = [text for text in texts if "the motif must be" in text]
    laid = [fabric for load in made.nested.loads for fabric in load.fabrics if fabric.fabric in PRINTS]
    assert len(looks) == len(laid)
    # Five rough cuts of lantern all show the same: 2 in from the right edge of 42 in is 0 in from the left.
    assert sum("again every 4 × 6 in" in text for text in looks) == 5
    assert len({text for text in looks if "again every 4 × 6 in" in text}) == 1


def test_rings_stand_where_origins_lie(made: Made) -> None:
    """Every origin on the cloth has its ring in the picture, and the legend says what a ring is."""
    page = html.fromstring(made.files["job-sheet.html"])
    pictures = [
        drawn for drawn in page.iter("svg") if "the mat seen from above" in drawn.findtext("title", "")
    ]
    assert len(pictures) == len(made.nested.loads)
    for picture, load in zip(pictures, made.nested.loads, strict=True):
        rings = [
            (float(ring.get("cx")), float(ring.get("cy")))
            for ring in picture.iter("circle")
            if ring.get("fill") == "none"
        ]
        for laid in load.fabrics:
            for placement in laid.placements:
                x, y = placement.pose.x_mm, placement.pose.y_mm
                inside = 0 < x - laid.x_mm < laid.across_mm and 0 < y - laid.y_mm < laid.up_mm
                if laid.fabric in PRINTS and inside:
                    assert min(math.dist((x, y), ring) for ring in rings) < 0.001
    (legend,) = (svg for svg in page.iter("svg") if "What the lines" in svg.findtext("title", ""))
    assert "the print's motif" in legend.text_content()


def test_size_tells_repeats_and_cloth_in_words() -> None:
    """Two rows of ten lanterns; half a yard does wherever it is cut off."""
    told = cutfiles("size", JOB).stdout
    assert "repeats every 4 in × 6 in; a blade takes 1 repeat\n" in told
    assert "a plate's 20 blades: 20 repeats (10 across × 2 along), 12 5/8 in long; buy 1/2 yd\n" in told
