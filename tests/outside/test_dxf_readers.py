"""Independent readers of our DXF: GDAL, and the audit of ezdxf."""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from functools import cache
from typing import Any

import ezdxf
import pyogrio.raw
import pytest
import shapely

from cutfiles.formats.dxf.write import write_dxf, write_dxf_r12
from cutfiles.formats.sewn.write import write_sewn_dxf
from cutfiles.plate.blade import Blade
from cutfiles.tips.registry import Tip
from tests.outside.made import IN, Made, whole_plate
from tests.outside.placed import nearest, outlines
from tests.tips.outlines import TRUTHS

LAYERS = {"DRAW", "REGISTER", "CUT"}
# Boundary, turn and curve points, notches, grain, internal lines, sew lines, annotation; 1 and 14 again.
SEWN_LAYERS = {"1", "2", "3", "4", "7", "8", "14", "15", "84", "87"}


WRITERS = {"dxf": write_dxf, "dxf-r12": write_dxf_r12, "sewn-dxf": write_sewn_dxf}


@cache
def whole(tip: Tip, flavour: str = "dxf") -> tuple[Made, bytes]:
    found = whole_plate(tip)
    return found, WRITERS[flavour](found.plan.loads[0])


@pytest.fixture
def fine_arcs() -> Iterator[None]:
    """GDAL turns arcs into chords of 4° unless told otherwise (GDAL manual, AutoCAD DXF driver)."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("OGR_ARC_STEPSIZE", "0.1")
        # Each line of a block with its own layer, not all in one collection.
        patch.setenv("DXF_MERGE_BLOCK_GEOMETRIES", "FALSE")
        yield


def read_by_gdal(dxf: bytes) -> list[tuple[str, Any]]:
    """Layer and geometry of each entity."""
    meta, _, geometries, fields = pyogrio.raw.read(dxf)
    layers = fields[list(meta["fields"]).index("Layer")]
    return list(zip(layers, shapely.from_wkb(geometries), strict=True))


def closed_forms(tip: Tip) -> dict[str, float]:
    """Areas in mm²: blades of 4 3/4 in, 20 in the circle, 1 1/4 in from its middle; what goes with them."""
    inner = 1.25 * IN
    blade = Blade(20, inner, 4.75 * IN, 0.25 * IN, tip)
    cut = TRUTHS[tip].cut(blade).difference(shapely.box(-1e3, -1e3, 1e3, inner))
    # Cover and turn make the centre's cut radius half an inch more than the opening's.
    centre = math.pi * (inner / math.cos(math.pi / 20) + 0.5 * IN) ** 2
    # Half an inch round what reaches furthest, 5 3/4 in with most tips, and a seam, up to half an inch.
    finished = TRUTHS[tip].finished(blade)
    reach = max(math.hypot(x, y) for x, y in shapely.get_coordinates(finished)) / IN
    square = math.ceil(2 * (2 * (reach + 0.5 + 0.25))) / 2
    return {"blade": cut.area, "centre": centre, "background": (square * IN) ** 2}


@pytest.mark.parametrize("flavour", WRITERS)
@pytest.mark.parametrize("tip", Tip)
@pytest.mark.usefixtures("fine_arcs")
def test_gdal_reads_the_layers_and_closed_rings_of_the_right_area(tip: Tip, flavour: str) -> None:
    """Twenty blades, a centre, a background and two leaves: closed rings of their closed-form areas."""
    found = read_by_gdal(whole(tip, flavour)[1])
    sewn = flavour == "sewn-dxf"
    assert {layer for layer, _ in found} == (SEWN_LAYERS if sewn else LAYERS)
    cuts = [
        geometry
        for layer, geometry in found
        if layer == ("1" if sewn else "CUT") and geometry.geom_type != "Point"
    ]
    # The sewn trade's file has copies once, with their quantity; one of the leaves is mirrored.
    counts = (1, 1, 1, 2) if sewn else (20, 1, 1, 2)
    assert len(cuts) == sum(counts)
    assert all(geometry.is_ring for geometry in cuts)
    areas = sorted(shapely.Polygon(geometry.coords).area for geometry in cuts)
    expected = closed_forms(tip)
    leaf = shapely.Polygon([(0, -30), (25, 0), (0, 45), (-20, 5)])
    cut_leaf = leaf.buffer(0.25 * IN, join_style="mitre", mitre_limit=2.0).area
    one_each = (expected["blade"], expected["centre"], expected["background"], cut_leaf)
    whole_list = [size for size, count in zip(one_each, counts, strict=True) for _ in range(count)]
    # The sewn trade's file has chords within a hundredth of a mm: of a round end of 30 mm, a ten-thousandth.
    assert areas == pytest.approx(sorted(whole_list), rel=3e-4 if sewn else 1e-5)


@pytest.mark.parametrize("flavour", WRITERS)
@pytest.mark.parametrize("tip", Tip)
@pytest.mark.usefixtures("fine_arcs")
def test_gdal_finds_every_outline_where_the_layout_says(tip: Tip, flavour: str) -> None:
    """Against the shapes moved by shapely; GDAL's own chords of 0.1° are within a ten-thousandth of a mm."""
    wanted = outlines(whole(tip)[0].layout)
    layer_of_cuts = "1" if flavour == "sewn-dxf" else "CUT"
    found = dict(
        nearest(wanted, geometry)
        for layer, geometry in read_by_gdal(whole(tip, flavour)[1])
        if layer == layer_of_cuts and geometry.geom_type != "Point"
    )
    distinct = {name for name in wanted if "blade" not in name or name == "tide-blade-001"}
    assert set(found) == (distinct if flavour == "sewn-dxf" else set(wanted))
    assert max(found.values()) < (0.011 if flavour == "sewn-dxf" else 0.001)


@pytest.mark.parametrize("flavour", WRITERS)
@pytest.mark.parametrize("tip", Tip)
@pytest.mark.usefixtures("fine_arcs")
def test_gdal_sees_everything_on_the_mat(tip: Tip, flavour: str) -> None:
    """In mm, with the origin at the mat's lower left corner; but for the sewn trade's square to measure."""
    square = shapely.box(-60, 0, -9, 50)
    for layer, geometry in read_by_gdal(whole(tip, flavour)[1]):
        if flavour == "sewn-dxf" and layer == "15" and square.covers(geometry):
            continue
        left, low, right, high = geometry.bounds
        assert 0 <= left <= right <= 32 * IN
        assert 0 <= low <= high <= 32 * IN


@pytest.mark.parametrize("flavour", ["dxf-r12", "sewn-dxf"])
@pytest.mark.parametrize("tip", Tip)
def test_the_audit_finds_nothing_in_what_is_r12(tip: Tip, flavour: str) -> None:
    """AC1009, closed polylines; entities that R12 has."""
    document = ezdxf.read(io.StringIO(whole(tip, flavour)[1].decode()))
    auditor = document.audit()
    assert (auditor.errors, auditor.fixes, document.dxfversion) == ([], [], "AC1009")
    entities = [entity for layout in document.blocks for entity in layout]
    assert {entity.dxftype() for entity in entities} <= {
        "CIRCLE", "LINE", "ARC", "POLYLINE", "POINT", "TEXT", "INSERT",
    }  # fmt: skip
    assert all(entity.is_closed for entity in entities if entity.dxftype() == "POLYLINE")


@pytest.mark.parametrize("tip", Tip)
def test_the_audit_finds_nothing(tip: Tip) -> None:
    """The auditor of ezdxf has no error and no fix to make; promised entities on promised layers, in mm."""
    document = ezdxf.read(io.StringIO(whole(tip)[1].decode()))
    auditor = document.audit()
    assert auditor.errors == []
    assert auditor.fixes == []
    assert document.dxfversion == "AC1015"
    assert document.header["$INSUNITS"] == 4
    entities = list(document.modelspace())
    assert {entity.dxftype() for entity in entities} <= {"CIRCLE", "LINE", "ARC", "LWPOLYLINE"}
    assert {entity.dxf.layer for entity in entities} == LAYERS
    assert all(entity.closed for entity in entities if entity.dxftype() == "LWPOLYLINE")


def test_round_tips_and_circles_stay_true_in_dxf() -> None:
    """Twenty sewn arcs are ARC, twenty cut ones bulges, and every circle a CIRCLE, a mark's ring too."""
    space = ezdxf.read(io.StringIO(whole(Tip.ROUND)[1].decode())).modelspace()
    assert len(space.query("ARC")) == 20
    assert len(space.query("CIRCLE")) == 5
    bulged = [
        entity for entity in space.query("LWPOLYLINE") if any(point[4] for point in entity.get_points())
    ]
    assert len(bulged) == 20
