"""How pieces are cut roughly: whatever a layout asks for comes out by cuts that go through."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles.core.units import MM_PER_INCH
from cutfiles.geometry.rectangles import depth_mm
from cutfiles.nest.rough_cuts import piece_cuts
from tests.sheet.jobs import HARBOUR, REST, fabric, sheet_of

IN = MM_PER_INCH


@settings(max_examples=4)
@given(width=st.integers(15, 30), length=st.integers(26, 40), pieces=st.integers(1, 2))
def test_every_rectangle_of_a_layout_comes_out_by_cuts_that_go_through(
    width: int, length: int, pieces: int
) -> None:
    """Backgrounds by hand in rows and what the mat takes beside them."""
    cloth = fabric("tide", width, length, pieces, cuts=(("background", REST), ("blade", 4)))
    job = replace(HARBOUR, plate=replace(HARBOUR.plate, sewn=4), centre=None, outlines=(), fabrics=(cloth,))
    layout = sheet_of(job).layout
    found = piece_cuts(job, layout)
    assert sum(len(cuts.parts) * len(cuts.pieces) for cuts in found) == len(layout.rough_cuts) > 0
    for cuts in found:
        assert cuts.cuts
        for cut in cuts.cuts:
            at, begin, end = cut.at_mm, cut.begin_mm, cut.end_mm
            line = (begin, at, end, at) if cut.is_across else (at, begin, at, end)
            # A cut has no width: where it enters a rectangle it lies in it as deep as it is from its edges.
            wide = (line[0] - 1e-3, line[1] - 1e-3, line[2] + 1e-3, line[3] + 1e-3)
            assert all(depth_mm(wide, part.bounds) <= 1.01e-3 for part in cuts.parts)
