"""DXF R12: what is in the 2000 file, as an older reader wants it."""

from __future__ import annotations

import io
import logging
from dataclasses import replace

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.entities import Polyline

from cutfiles.formats.dxf.write import write_dxf, write_dxf_r12
from cutfiles.formats.model.style import DEFAULT_STYLE, LayerSpec, LayersSpec
from cutfiles.formats.model.tool import Tool
from cutfiles.geometry.outline import Path
from tests.formats.plans import HEIGHT, WIDTH, plan

OWN = replace(
    DEFAULT_STYLE,
    layers=LayersSpec(
        LayerSpec("PEN_1", "#000000"), LayerSpec("MARK$", "#FF0000"), LayerSpec("KNIFE-2", "#FE0000")
    ),
)


def document_of(dxf: bytes) -> Drawing:
    """Return the drawing as ezdxf reads it back."""
    return ezdxf.read(io.StringIO(dxf.decode("ascii")))


def tags_of(dxf: bytes) -> list[tuple[int, str]]:
    """Return group codes and values."""
    lines = dxf.decode("ascii").split("\n")
    return [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=False) if code]


def test_the_header_says_r12_and_the_mats_size() -> None:
    """AC1009; the mat stands in the limits; R12 has no unit to hold."""
    document = document_of(write_dxf_r12(plan()))
    assert document.dxfversion == "AC1009"
    assert tuple(document.header["$LIMMAX"])[:2] == (WIDTH, HEIGHT)
    assert (9, "$INSUNITS") not in tags_of(write_dxf_r12(plan()))


def test_nothing_is_in_it_that_r12_has_not() -> None:
    """No subclass markers, no owners, no LWPOLYLINE, no objects (Autodesk, DXF reference, R13 and later)."""
    tags = tags_of(write_dxf_r12(plan()))
    assert {code for code, _ in tags} & {100, 102, 330, 350, 360, 370, 420} == set()
    assert {value for code, value in tags if code == 0} <= {
        "SECTION", "ENDSEC", "TABLE", "ENDTAB", "EOF", "VPORT", "LTYPE", "LAYER", "STYLE", "APPID",
        "DIMSTYLE", "BLOCK", "ENDBLK", "LINE", "ARC", "CIRCLE", "POLYLINE", "VERTEX", "SEQEND",
    }  # fmt: skip


@pytest.mark.parametrize("write", [write_dxf, write_dxf_r12])
def test_every_handle_stands_once_and_the_seed_is_above_them(write: type) -> None:
    """A reader that adds to the drawing begins at $HANDSEED."""
    tags = tags_of(write(plan()))
    seed = tags.index((9, "$HANDSEED")) + 1
    # In the table of dimension styles, group 5 of R12 is a block's name, and the handle is group 105.
    handles = [int(value, 16) for code, value in tags[seed + 1 :] if code in (5, 105) and value]
    assert len(handles) == len(set(handles)) > len(plan().strokes)
    assert int(tags[seed][1], 16) > max(handles)


def test_strokes_keep_their_order_and_kind() -> None:
    """Chains become lines and arcs, outlines closed polylines, circles circles."""
    space = document_of(write_dxf_r12(plan())).modelspace()
    entity_types = {
        tool: [entity.dxftype() for entity in space if entity.dxf.layer == tool.value.upper()]
        for tool in plan().tools
    }
    assert entity_types == {
        Tool.DRAW: ["LINE", "LINE", "LINE", "ARC", "ARC", "CIRCLE"],
        Tool.REGISTER: ["LINE", "CIRCLE"],
        Tool.CUT: ["POLYLINE", "CIRCLE", "POLYLINE", "POLYLINE"],
    }


def test_outlines_are_closed_and_carry_their_bulges() -> None:
    """The same corners in the same order, y up, and the bend of each edge."""
    wanted = [stroke.path for stroke in plan().strokes_of(Tool.CUT) if isinstance(stroke.path, Path)]
    space = document_of(write_dxf_r12(plan())).modelspace()
    written = [entity for entity in space if isinstance(entity, Polyline)]
    for path, entity in zip(wanted, written, strict=True):
        assert entity.is_closed
        assert entity.is_2d_polyline
        corners = [(*vertex.dxf.location.vec2, vertex.dxf.bulge) for vertex in entity.vertices]
        for vertex, point in zip(path.vertices, corners, strict=True):
            assert point == pytest.approx(tuple(vertex), abs=1e-4)


@pytest.mark.parametrize("write", [write_dxf, write_dxf_r12])
def test_layers_have_the_users_names_and_the_nearest_colours(write: type) -> None:
    """Black is 7, red 1; a second red gets the next nearest, so that no two layers are alike."""
    document = document_of(write(plan(), style=OWN))
    layers = {layer.dxf.name: layer.dxf.color for layer in document.layers}
    assert (layers["PEN_1"], layers["MARK$"]) == (7, 1)
    assert layers["KNIFE-2"] not in (1, 7)
    assert {entity.dxf.layer for entity in document.modelspace()} == {"PEN_1", "MARK$", "KNIFE-2"}
    usual = {layer.dxf.name: layer.dxf.color for layer in document_of(write(plan())).layers}
    # By eye in the table of AutoCAD colours: a blue, a green and a pink between red and magenta.
    assert [usual[name] for name in ("DRAW", "REGISTER", "CUT")] == [142, 122, 241]


def test_an_audit_finds_no_fault_and_nothing_is_said(caplog: pytest.LogCaptureFixture) -> None:
    """Neither an error nor a fix, nor a warning of the library's while it is written."""
    with caplog.at_level(logging.WARNING):
        auditor = document_of(write_dxf_r12(plan())).audit()
    assert (auditor.errors, auditor.fixes) == ([], [])
    assert caplog.records == []
