"""Blocks of a DXF where they are inserted; where they lie is computed by hand, and by ezdxf."""

from __future__ import annotations

import io

import ezdxf
import pytest

from cutfiles.check.shapes.contours import same_outline
from cutfiles.formats.dxf.read import read_dxf
from cutfiles.formats.model.drawing import Layer, Reading
from cutfiles.geometry.outline import Circle, bounds, ring
from cutfiles.geometry.outline import Path as Chain

FLAG = [(0, 0, 0), (30, 0, 0), (30, 12, 0.4), (10, 20, 0)]  # not its own mirror image


def _reading(**insert: float) -> Reading:
    document = ezdxf.new("R2000")
    document.header["$INSUNITS"] = 4
    document.layers.add("CUT")
    block = document.blocks.new("FLAG", base_point=(1, 2))
    block.add_lwpolyline(FLAG, format="xyb", close=True, dxfattribs={"layer": "CUT"})
    block.add_circle((5, 5), 2, dxfattribs={"layer": "0"})
    document.modelspace().add_blockref("FLAG", (100, 50), dxfattribs={"layer": "CUT", **insert})
    text = io.StringIO()
    document.write(text)
    return read_dxf(text.getvalue().encode())


def _by_ezdxf(**insert: float) -> list[tuple[float, float]]:
    """Where the library's own transformation puts the corners."""
    document = ezdxf.new("R2000")
    block = document.blocks.new("FLAG", base_point=(1, 2))
    for x, y, _ in FLAG:
        block.add_point((x, y))
    inserted = document.modelspace().add_blockref("FLAG", (100, 50), dxfattribs=insert)
    return [(point.dxf.location.x, point.dxf.location.y) for point in inserted.virtual_entities()]


PLACES: list[dict[str, float]] = [
    {},
    {"rotation": 30},
    {"xscale": 2, "yscale": 2, "rotation": -75},
    {"xscale": -1},
    {"yscale": -1, "rotation": 120},
    {"xscale": -0.5, "yscale": -0.5},
]


@pytest.mark.parametrize("insert", PLACES)
def test_a_block_lies_where_the_library_puts_it(insert: dict[str, float]) -> None:
    """Moved, turned, mirrored, scaled alike both ways; its circle takes the layer of what inserts it."""
    reading = _reading(**insert)
    assert reading.faults == ()
    flag, disc = reading.drawing.items
    assert isinstance(flag.path, Chain)
    corners = [vertex[:2] for vertex in flag.path.vertices]
    for corner, there in zip(corners, _by_ezdxf(**insert), strict=True):
        assert corner == pytest.approx(there, abs=1e-9)
    mirrors = insert.get("xscale", 1) * insert.get("yscale", 1) < 0
    assert flag.path.vertices[2].bulge == pytest.approx(-0.4 if mirrors else 0.4)
    assert isinstance(disc.path, Circle)
    assert disc.path.radius == pytest.approx(2 * abs(insert.get("xscale", 1)))
    assert (disc.layer, flag.layer) == (Layer.CUT, Layer.CUT)


def test_a_block_may_stand_in_columns_and_rows() -> None:
    """Three by two of them, as far apart as the INSERT says."""
    reading = _reading(column_count=3, row_count=2, column_spacing=40, row_spacing=25)
    flags = [item.path for item in reading.drawing.items if isinstance(item.path, Chain)]
    lows = sorted(bounds(flag)[:2] for flag in flags)
    assert lows == [(x, y) for x in (99, 139, 179) for y in (48, 73)]


def test_a_stretched_block_is_told_so() -> None:
    """Its arcs would be arcs of ellipses."""
    assert {fault.code.value for fault in _reading(xscale=2, yscale=3).faults} == {"unknown-element"}


def test_a_block_that_is_not_there_is_told_so() -> None:
    """An INSERT of nothing."""
    text = "0\nSECTION\n2\nENTITIES\n0\nINSERT\n8\nCUT\n2\nGONE\n0\nENDSEC\n0\nEOF\n"
    (fault,) = read_dxf(text.encode()).faults
    assert (fault.code.value, "GONE" in fault.says) == ("unknown-element", True)


def test_a_block_in_a_block_lies_where_both_put_it() -> None:
    """Turned by 90 and then by 90 again is turned by half."""
    square = "0\nLWPOLYLINE\n8\nCUT\n70\n1\n10\n0\n20\n0\n10\n4\n20\n0\n10\n4\n20\n2\n10\n0\n20\n2\n"
    inner = f"0\nBLOCK\n2\nA\n10\n0\n20\n0\n{square}0\nENDBLK\n"
    outer = "0\nBLOCK\n2\nB\n10\n0\n20\n0\n0\nINSERT\n2\nA\n10\n10\n20\n0\n50\n90\n0\nENDBLK\n"
    model = "0\nSECTION\n2\nENTITIES\n0\nINSERT\n8\nCUT\n2\nB\n10\n100\n20\n0\n50\n90\n0\nENDSEC\n0\nEOF\n"
    (item,) = read_dxf(f"0\nSECTION\n2\nBLOCKS\n{inner}{outer}0\nENDSEC\n{model}".encode()).drawing.items
    assert same_outline(item.path, ring((100, 10), (96, 10), (96, 8), (100, 8)), within_mm=1e-9)
