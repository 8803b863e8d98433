"""Sewn-product DXF: a block a piece, lines on the layers of their kind, curves as chords."""

from __future__ import annotations

import io
import math
from collections import Counter
from dataclasses import replace

import ezdxf
import pytest
import shapely
from ezdxf.document import Drawing
from ezdxf.layouts import BlockLayout

from cutfiles.findings.codes import Code
from cutfiles.formats.model.drawing import Layer
from cutfiles.formats.model.plan import LoadPlan, Stroke
from cutfiles.formats.model.tool import Drawn, Tool
from cutfiles.formats.sewn.read import read_any_dxf
from cutfiles.formats.sewn.write import write_sewn_dxf
from cutfiles.geometry.outline import Circle, Contour, Path, Vertex, line, ring

# A wedge with a round end that runs on smoothly from its sides: 4 edges, 2 corners.
HALF = math.tan(math.pi / 4)
WEDGE = Path((Vertex(20, 20), Vertex(40, 20), Vertex(40, 80, HALF), Vertex(20, 80)), closed=True)
LEAF = ring((60, 20), (90, 20), (75, 60))
LONG = "samphire-and-driftwood-remnants-leaf-001"


def sewn_plan() -> LoadPlan:
    """Return a load of three pieces with every kind of drawn line."""

    def draw(kind: Drawn, path: Contour, piece: str = "tide-blade-001") -> Stroke:
        return Stroke(Tool.DRAW, path, piece, kind)

    strokes = (
        draw(Drawn.SEW, line((24, 20), (24, 80))),
        draw(Drawn.FOLD, line((30, 20), (30, 90))),
        draw(Drawn.NOTCH, line((20, 50), (23, 50))),
        draw(Drawn.GRAIN, line((27, 30), (27, 60))),
        draw(Drawn.GRAIN, line((26, 32), (27, 30), (28, 32))),
        draw(Drawn.LABEL, line((33, 40), (33, 44), (35, 44))),
        draw(Drawn.FOLD, Circle(120, 40, 8), "tide-centre-001"),
        Stroke(Tool.REGISTER, line((5, 5), (9, 5)), ""),
        # The tool's way is not the outline: wider by the kerf, and run past its start.
        Stroke(Tool.CUT, line((19, 19), (41, 19), (30, 92), (19, 19), (25, 19)), "tide-blade-001"),
        Stroke(Tool.CUT, Circle(120, 40, 12.1), "tide-centre-001"),
        Stroke(Tool.CUT, LEAF, LONG),
    )  # fmt: skip
    outlines = (("tide-blade-001", WEDGE), ("tide-centre-001", Circle(120, 40, 12)), (LONG, LEAF))
    return LoadPlan("load-01", 200, 100, strokes, outlines=outlines)


def document_of(load: LoadPlan) -> Drawing:
    """Return the drawing as ezdxf reads it back."""
    return ezdxf.read(io.StringIO(write_sewn_dxf(load).decode("ascii")))


def block(name: str) -> BlockLayout:
    """Return a block of the plan."""
    block_ = document_of(sewn_plan()).blocks.get(name)
    assert block_ is not None
    return block_


def ring_of(piece_block: BlockLayout) -> shapely.Polygon:
    """Return the one closed polyline on layer 1."""
    (polyline,) = piece_block.query("POLYLINE[layer=='1']")
    assert polyline.is_closed
    assert all(vertex.dxf.bulge == 0 for vertex in polyline.vertices)
    return shapely.Polygon([vertex.dxf.location.vec2 for vertex in polyline.vertices])


def test_each_piece_is_a_block_inserted_once_where_it_lies() -> None:
    """Blocks keep the mat's coordinates: no insert moves, turns or scales."""
    document = document_of(sewn_plan())
    inserts = list(document.modelspace().query("INSERT"))
    names = [insert.dxf.name for insert in inserts]
    assert names[:2] == ["TIDE-BLADE-001", "TIDE-CENTRE-001"]
    assert len(names) == len(set(names)) == 3
    assert all(name.isupper() and len(name) <= 31 for name in names)
    for insert in inserts:
        assert tuple(insert.dxf.insert) == (0, 0, 0)
        assert (insert.dxf.xscale, insert.dxf.yscale, insert.dxf.rotation) == (1, 1, 0)
    assert ring_of(block("TIDE-BLADE-001")).bounds == pytest.approx((20, 20, 40, 90), abs=0.02)


def test_copies_are_one_block_with_their_quantity_where_the_first_lies() -> None:
    """Its lines are those of the first copy; pieces that are in no group are one each."""
    moved = ring(*((vertex.x + 30, vertex.y) for vertex in LEAF.vertices))
    more = (*sewn_plan().outlines, ("leaf-002", moved), ("leaf-003", moved))
    alike = (("tide-blade-001",), (LONG, "leaf-002", "leaf-003"))
    document = document_of(replace(sewn_plan(), outlines=more, alike=alike))
    names = [insert.dxf.name for insert in document.modelspace().query("INSERT")]
    assert len(names) == 3
    assert not [block.name for block in document.blocks if block.name.startswith("LEAF")]
    texts = [[text.dxf.text for text in document.blocks[name].query("TEXT")] for name in names]
    assert texts == [
        ["Piece Name: tide-blade-001", "Quantity: 1"],
        ["Piece Name: tide-centre-001", "Quantity: 1"],
        [f"Piece Name: {LONG}", "Quantity: 3"],
    ]
    assert ring_of(document.blocks[names[2]]).bounds == (60, 20, 90, 60)


@pytest.mark.parametrize(("says", "number"), [("3", 3), ("3 ", 3), ("3,0", 3), ("12345", 12345)])
def test_the_reader_has_the_quantity_of_a_piece(says: str, number: int) -> None:
    """Of each outline in its block; of the others it stays one."""
    text = write_sewn_dxf(sewn_plan()).replace(b"Quantity: 1", f"quantity: {says}".encode(), 1)
    reading = read_any_dxf(text)
    assert reading.faults == ()
    assert [item.quantity for item in reading.drawing.on(Layer.CUT)] == [number, 1, 1]


@pytest.mark.parametrize("says", ["", "0", "-2", "two", "123456"])
def test_a_quantity_that_is_no_number_is_a_fault(says: str) -> None:
    """Told at its block."""
    text = write_sewn_dxf(sewn_plan()).replace(b"Quantity: 1", f"Quantity: {says}".encode(), 1)
    (fault,) = read_any_dxf(text).faults
    assert (fault.code, fault.place) == (Code.NOT_A_NUMBER, "TIDE-BLADE-001")


def test_ids_that_differ_in_their_case_alone_get_blocks_of_their_own() -> None:
    """`Tide` and `tide` may both be fabrics."""
    twins = replace(sewn_plan(), strokes=(), outlines=(("Tide-a-001", WEDGE), ("tide-a-001", LEAF)))
    names = [insert.dxf.name for insert in document_of(twins).modelspace().query("INSERT")]
    assert names == ["TIDE-A-001", "TIDE-A-001_2"]


def test_every_line_is_on_the_layer_of_its_kind() -> None:
    """ASTM D6673-10, layers from memory: 1 boundary, 4 notch, 7 grain, 8 internal, 14 sew, 15 annotation."""
    counts = Counter(
        (entity.dxf.layer, entity.dxftype())
        for entity in block("TIDE-BLADE-001")
        if entity.dxftype() not in ("POINT", "TEXT")
    )
    assert counts == {
        ("1", "POLYLINE"): 1, ("14", "LINE"): 1, ("8", "LINE"): 1 + 2, ("7", "LINE"): 1,
        ("15", "LINE"): 2, ("84", "POLYLINE"): 1, ("87", "LINE"): 1,
    }  # fmt: skip
    (fold,) = block("TIDE-CENTRE-001").query("POLYLINE[layer=='8']")
    assert fold.is_closed


def test_the_boundary_is_the_outline_as_it_is_to_come_out() -> None:
    """Not the tool's way around it; within a hundredth of a mm, by area as by distance."""
    # Chords take no more from a circle than a hundredth of a mm all round.
    assert 0 < math.pi * 12**2 - ring_of(block("TIDE-CENTRE-001")).area < 0.01 * 2 * math.pi * 12
    half = shapely.Point(30, 80).buffer(10, quad_segs=2000)
    wedge = shapely.union_all([shapely.box(20, 20, 40, 80), half])
    assert ring_of(block("TIDE-BLADE-001")).boundary.hausdorff_distance(wedge.boundary) < 0.011


def test_corners_are_turn_points_and_the_rest_curve_points() -> None:
    """From memory: layers 2 and 3. The sides run on into the round end without a corner."""
    plain = document_of(replace(sewn_plan(), strokes=()))
    points = plain.blocks["TIDE-BLADE-001"].query("POINT")
    at = {layer: {tuple(p.dxf.location.vec2) for p in points if p.dxf.layer == layer} for layer in "23"}
    assert at["2"] == {(20, 20), (40, 20)}
    assert {(40, 80), (20, 80)} < at["3"]
    centre = plain.blocks["TIDE-CENTRE-001"].query("POINT")
    assert {point.dxf.layer for point in centre} == {"3"}


@pytest.mark.parametrize(
    "line_", [line((20, 50), (23, 50)), line((23, 50), (20, 50)), line((20.002, 50), (17, 50))]
)
def test_a_notch_is_a_point_where_its_line_meets_the_boundary(line_: Path) -> None:
    """Whichever way the pen runs it, and to whichever side."""
    stroke = Stroke(Tool.DRAW, line_, "tide-blade-001", Drawn.NOTCH)
    blade = document_of(replace(sewn_plan(), strokes=(stroke,))).blocks["TIDE-BLADE-001"]
    (notch,) = blade.query("*[layer=='4']")
    assert notch.dxftype() == "POINT"
    assert tuple(notch.dxf.location.vec2) == pytest.approx((20, 50), abs=0.0021)
    assert not blade.query("LINE")


def test_a_notch_in_a_curve_lies_on_it() -> None:
    """At the top of the round end, between the corners of its chords or not."""
    at = (30 + 10 * math.cos(1.234), 80 + 10 * math.sin(1.234))
    stroke = Stroke(Tool.DRAW, line(at, (30, 80)), "tide-blade-001", Drawn.NOTCH)
    blade = document_of(replace(sewn_plan(), strokes=(stroke,))).blocks["TIDE-BLADE-001"]
    (notch,) = blade.query("POINT[layer=='4']")
    assert tuple(notch.dxf.location.vec2) == pytest.approx(at, abs=1e-4)


def test_a_short_line_away_from_the_boundary_is_no_notch() -> None:
    """A point there would be a notch beside the edge."""
    stroke = Stroke(Tool.DRAW, line((24, 50), (27, 50)), "tide-blade-001", Drawn.NOTCH)
    blade = document_of(replace(sewn_plan(), strokes=(stroke,))).blocks["TIDE-BLADE-001"]
    assert not blade.query("*[layer=='4']")
    assert len(blade.query("LINE[layer=='8']")) == 1


def test_the_reader_has_notches_where_their_block_went() -> None:
    """Here the block is moved by (100, 5), turned by a quarter and mirrored, as ezdxf puts it."""
    document = document_of(sewn_plan())
    (insert,) = document.modelspace().query("INSERT[name=='TIDE-BLADE-001']")
    insert.dxf.update({"insert": (100, 5), "rotation": 90, "xscale": -1})
    expected = [entity.dxf.location for entity in insert.virtual_entities() if entity.dxf.layer == "4"]
    text = io.StringIO()
    document.write(text)
    drawing = read_any_dxf(text.getvalue().encode()).drawing
    (notch,) = drawing.notches
    assert (notch.x, notch.y) == pytest.approx(expected[0].vec2)
    assert notch.place == "tide-blade-001"


def test_inner_and_sew_lines_have_their_points_too() -> None:
    """Ends and corners turn, a circle nowhere does; notches, the grain's shaft and letters have no points."""
    counts = Counter(
        (p.dxf.layer, *tuple(p.dxf.location.vec2)) for p in block("TIDE-BLADE-001").query("POINT")
    )
    ends = [(24, 20), (24, 80), (30, 20), (30, 90), (26, 32), (27, 30), (28, 32)]
    assert [counts["2", *end] for end in ends] == [1] * len(ends)
    assert [point for point in counts if point[0] == "4"] == [("4", 20, 50)]
    for lone in ((20, 50), (23, 50), (27, 60), (33, 40), (35, 44)):
        assert not counts["2", *lone] + counts["3", *lone]
    inner = replace(sewn_plan(), strokes=tuple(s for s in sewn_plan().strokes if s.kind is Drawn.FOLD))
    circle = list(document_of(inner).blocks["TIDE-CENTRE-001"].query("POINT"))
    assert len(circle) > 100
    assert {p.dxf.layer for p in circle} == {"3"}


def test_validation_layers_repeat_boundary_and_sew_lines() -> None:
    """84 what is on 1, 87 what is on 14, corner by corner."""
    blade_block = block("TIDE-BLADE-001")
    (again,) = blade_block.query("POLYLINE[layer=='84']")
    assert shapely.Polygon([v.dxf.location.vec2 for v in again.vertices]).equals(ring_of(blade_block))
    (sew,), (sew_again,) = blade_block.query("LINE[layer=='14']"), blade_block.query("LINE[layer=='87']")
    assert (sew.dxf.start, sew.dxf.end) == (sew_again.dxf.start, sew_again.dxf.end)


def test_no_block_is_anything_but_a_piece() -> None:
    """Those of model space and paper space, which R12 does without, would pass for pieces of no lines."""
    lines = write_sewn_dxf(sewn_plan()).decode("ascii").splitlines()
    pairs = list(zip(lines[::2], lines[1::2], strict=True))
    begins = [index for index, pair in enumerate(pairs) if pair == ("  0", "BLOCK")]
    names = [next(value for code, value in pairs[index:] if code == "  2") for index in begins]
    assert names[:2] == ["TIDE-BLADE-001", "TIDE-CENTRE-001"]
    assert len(names) == 3


def test_a_square_to_measure_lies_beside_the_mat() -> None:
    """50 mm, named, touching no piece: whether METRIC is mm or cm is seen at once."""
    space = document_of(sewn_plan()).modelspace()
    (square,) = space.query("POLYLINE")
    shape = shapely.Polygon([vertex.dxf.location.vec2 for vertex in square.vertices])
    assert square.is_closed
    assert shape.equals(shapely.box(-60, 0, -10, 50))
    assert "This square is 50 mm" in [text.dxf.text for text in space.query("TEXT")]


def test_the_reader_takes_neither_square_nor_validation_for_lines_of_a_piece() -> None:
    """Three outlines, no register mark, and each drawn line once."""
    drawing = read_any_dxf(write_sewn_dxf(sewn_plan())).drawing
    assert len(drawing.on(Layer.CUT)) == 3
    assert drawing.on(Layer.REGISTER) == ()
    sewn = [i for i in range(len(drawing.drawn)) if drawing.drawn.path(i).vertices[0][:2] == (24, 20)]
    assert len(sewn) == 1


@pytest.mark.parametrize("swap", [("-60.0", "-59.5"), ("This square is 50 mm", "This square is 5 mm")])
def test_a_square_of_another_size_than_it_says_is_a_fault(swap: tuple[str, str]) -> None:
    """Once its line is changed, once its word; as it is written it is right."""
    content = write_sewn_dxf(sewn_plan())
    assert not read_any_dxf(content).faults
    changed = content.replace(*(part.encode() for part in swap))
    assert changed != content
    (fault,) = read_any_dxf(changed).faults
    assert fault.code is Code.TRUE_SIZE


def test_texts_name_piece_and_unit() -> None:
    """From memory: the piece's name in its block, the unit beside the style's name."""
    document = document_of(sewn_plan())
    assert [text.dxf.text for text in document.modelspace().query("TEXT")] == [
        "Style Name: load-01", "Units: METRIC", "This square is 50 mm",
    ]  # fmt: skip
    names = {
        text.dxf.text
        for insert in document.modelspace().query("INSERT")
        for text in document.blocks[insert.dxf.name].query("TEXT")
    }
    assert names >= {f"Piece Name: {piece}" for piece in ("tide-blade-001", "tide-centre-001", LONG)}


def test_an_audit_finds_no_fault() -> None:
    """R12, no error and no fix; nothing of the register marks."""
    document = document_of(sewn_plan())
    auditor = document.audit()
    assert (auditor.errors, auditor.fixes, document.dxfversion) == ([], [], "AC1009")
    assert {entity.dxftype() for entity in document.modelspace()} == {"INSERT", "TEXT", "POLYLINE"}
