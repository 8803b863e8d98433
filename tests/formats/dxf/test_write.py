"""DXF files: layers, units, entities, and nothing of the day they were written."""

from __future__ import annotations

import io
import math
import re

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.entities import Arc, DXFEntity, LWPolyline

from cutfiles.formats.dxf.write import write_dxf
from cutfiles.formats.model.plan import LoadPlan
from cutfiles.formats.model.tool import Tool
from cutfiles.geometry.outline import Circle, Path, arc_of
from tests.formats.plans import HEIGHT, WIDTH, plan


def document_of(load: LoadPlan) -> Drawing:
    """Return the drawing as ezdxf reads it back."""
    return ezdxf.read(io.StringIO(write_dxf(load).decode("ascii")))


def on_layer(name: str) -> list[DXFEntity]:
    """Return the plan's entities on a layer, in order."""
    return [entity for entity in document_of(plan()).modelspace() if entity.dxf.layer == name]


def test_the_header_says_2000_and_millimetres_and_the_mats_size() -> None:
    """The unit is in the file, and the mat stands in the limits."""
    document = document_of(plan())
    assert document.dxfversion == "AC1015"
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1
    assert tuple(document.header["$LIMMIN"])[:2] == (0, 0)
    assert tuple(document.header["$LIMMAX"])[:2] == (WIDTH, HEIGHT)
    assert tuple(document.header["$EXTMIN"])[:2] == (0, 0)
    assert tuple(document.header["$EXTMAX"])[:2] == (WIDTH, HEIGHT)


def test_everything_lies_on_the_three_layers() -> None:
    """Draw, register and cut each have a layer, also where it is empty."""
    for load in (plan(), LoadPlan("load-01", 10, 10, ())):
        layers = {layer.dxf.name for layer in document_of(load).layers}
        assert {"DRAW", "REGISTER", "CUT"} <= layers
    used = {entity.dxf.layer for entity in document_of(plan()).modelspace()}
    assert used == {"DRAW", "REGISTER", "CUT"}


def test_an_audit_finds_no_fault() -> None:
    """A reader that looks closely has nothing to say."""
    assert document_of(plan()).audit().errors == []


def test_strokes_keep_their_order_and_kind() -> None:
    """Chains become lines and arcs, outlines closed polylines, circles circles."""
    entity_types = {
        tool: [entity.dxftype() for entity in on_layer(tool.value.upper())] for tool in plan().tools
    }
    assert entity_types == {
        Tool.DRAW: ["LINE", "LINE", "LINE", "ARC", "ARC", "CIRCLE"],
        Tool.REGISTER: ["LINE", "CIRCLE"],
        Tool.CUT: ["LWPOLYLINE", "CIRCLE", "LWPOLYLINE", "LWPOLYLINE"],
    }


def test_outlines_are_closed_and_carry_their_bulges() -> None:
    """The same corners in the same order, y up, and the bend of each edge."""
    wanted = [stroke.path for stroke in plan().strokes_of(Tool.CUT) if isinstance(stroke.path, Path)]
    written = [entity for entity in on_layer("CUT") if isinstance(entity, LWPolyline)]
    for path, entity in zip(wanted, written, strict=True):
        assert entity.closed
        for vertex, point in zip(path.vertices, entity.get_points("xyb"), strict=True):
            assert point == pytest.approx(tuple(vertex), abs=1e-4)


def test_open_arcs_run_the_right_way() -> None:
    """A DXF arc runs counter-clockwise: its ends and its middle are those that were meant."""
    wanted = [stroke.path for stroke in plan().strokes_of(Tool.DRAW)][2:4]
    written = [entity for entity in on_layer("DRAW") if isinstance(entity, Arc)]
    for path, entity in zip(wanted, written, strict=True):
        assert isinstance(path, Path)
        arc = arc_of(path.vertices[0], (path.vertices[1].x, path.vertices[1].y))
        ends = {(round(point.x, 3), round(point.y, 3)) for point in (entity.start_point, entity.end_point)}
        assert ends == {(round(vertex.x, 3), round(vertex.y, 3)) for vertex in path.vertices}
        sweep = (entity.dxf.end_angle - entity.dxf.start_angle) % 360
        middle = math.radians(entity.dxf.start_angle + sweep / 2)
        x = entity.dxf.center.x + entity.dxf.radius * math.cos(middle)
        y = entity.dxf.center.y + entity.dxf.radius * math.sin(middle)
        assert (x, y) == pytest.approx(arc.at(0.5), abs=1e-3)


def test_circles_keep_place_and_radius() -> None:
    """Centre and radius to four decimals."""
    wanted = [stroke.path for stroke in plan().strokes if isinstance(stroke.path, Circle)]
    written = [entity for entity in document_of(plan()).modelspace() if entity.dxftype() == "CIRCLE"]
    for circle, entity in zip(wanted, written, strict=True):
        assert (entity.dxf.center.x, entity.dxf.center.y) == pytest.approx((circle.x, circle.y), abs=1e-4)
        assert entity.dxf.radius == pytest.approx(circle.radius, abs=1e-4)


def test_no_date_of_the_day_and_no_fresh_guid_is_written() -> None:
    """The year 2000 stands where a date must, and GUIDs are all alike."""
    text = write_dxf(plan()).decode("ascii")
    dates = dict(re.findall(r"\$(TD\w+)\r?\n +40\r?\n *([\d.]+)", text))
    assert {name: value for name, value in dates.items() if float(value) > 2451545.5} == {}
    assert not re.search(r"20[1-9]\d-\d\d-\d\d", text)
    guids = set(re.findall(r"\{[0-9A-F-]{36}\}", text))
    assert len(guids) <= 1


def test_writing_leaves_the_librarys_options_as_they_were() -> None:
    """A program that uses the library beside us gets the metadata that it asked for."""
    assert ezdxf.options.write_fixed_meta_data_for_testing is False
    write_dxf(plan())
    assert ezdxf.options.write_fixed_meta_data_for_testing is False
