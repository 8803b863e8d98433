"""What a tool path leaves of an outline, as others cut it, is made whole again by check."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from cutfiles.check.layout.layout import KnownFabric, KnownLoad, KnownPiece
from cutfiles.check.layout.tool import KnownTool
from cutfiles.check.tool.outlines import outlines_of
from cutfiles.check.tool.restored import restored
from cutfiles.core.tolerance import FILE_MM
from cutfiles.findings.codes import Code
from cutfiles.formats.model.drawing import Capabilities, Drawing, Item, Layer
from cutfiles.geometry.outline import Path, Vertex, ring
from cutfiles.geometry.pose import Pose
from cutfiles.toolpath.cut.shared import left_over, shared_spans
from cutfiles.toolpath.cut.stretch import stretch


def box(x: float, y: float) -> Path:
    """A tile of 50 × 30 mm."""
    return ring((x, y), (x + 50, y), (x + 50, y + 30), (x, y + 30))


def rounded(path: Path) -> Path:
    """As files have it: four decimals."""
    return Path(tuple(Vertex(round(v.x, 4), round(v.y, 4), v.bulge) for v in path.vertices), path.closed)


def item(path: Path, name: str) -> Item:
    """A cut of a file."""
    return Item(Layer.CUT, "cut", rounded(path), name, name)


@given(apart=st.floats(0.0, 0.2))
@example(apart=0.0355)
@example(apart=0.0359)
@example(apart=0.0361)
def test_a_tile_over_a_joint_is_whole_however_wide_that_is(apart: float) -> None:
    """Two tiles below it cut its lower edge; what lies over their joint is cut or too short for that."""
    tiles = {"first": box(0, 0), "second": box(50 + apart, 0), "over": box(25, 30)}
    gone = shared_spans(list(tiles.values()))
    open_ = [
        item(stretch(tiles["over"], from_mm=start, to_mm=end), "over")
        for start, end in left_over(tiles["over"], gone[2], kerf_mm=0.0)
    ]
    assert len(open_) == (2 if apart > 0.0361 else 1) or apart == pytest.approx(0.036, abs=2e-4)
    pieces = tuple(KnownPiece(name, "tile", Pose(), tile, name, line=tile) for name, tile in tiles.items())
    fabric = KnownFabric("tide", (0, 0, 200, 100), 0.0, None, pieces, "tide")
    load = KnownLoad("load-01", 200, 100, (fabric,), "load", shares=True)
    whole = [item(tiles[name], name) for name in ("first", "second")]
    found = restored(whole, open_, load, KnownTool(), within_mm=FILE_MM)
    assert [one.piece_id for one in found.items] == ["over"]
    assert len(found.used) == len(open_)


@pytest.mark.parametrize("off", [(0.0018, 0.0018), (0.0, 0.0019), (0.0018, 0.0025)])
def test_two_lines_on_each_other_are_no_outline(off: tuple[float, float]) -> None:
    """Side by side as two neighbours' are, they meet end to end as well; each stays a line of its own."""
    there = Path((Vertex(20, 30, 0.0), Vertex(27, 80, 0.0)), closed=False)
    back = Path((Vertex(27 + off[0], 80, 0.0), Vertex(20 + off[1], 30, 0.0)), closed=False)
    items = (item(there, "first"), item(back, "second"))
    nameless = tuple(replace(one, piece_id=None) for one in items)
    found = outlines_of(Drawing(100, 100, nameless, Capabilities(within_mm=FILE_MM)))
    assert found.items == ()
    assert {fault.code for fault in found.faults} == {Code.OPEN_OUTLINE}
