"""Independent readers of our DXF: GDAL, and the audit of ezdxf."""

from __future__ import annotations

import io
import math
import os
from collections.abc import Iterator
from functools import cache
from typing import Any

import ezdxf
import pyogrio.raw
import pytest
import shapely

from cutfiles.files.dxf import write_dxf
from cutfiles.job.model import Tip
from tests.outside.made import IN, Made, whole_plate

LAYERS = {"DRAW", "REGISTER", "CUT"}


@cache
def whole(tip: Tip) -> tuple[Made, bytes]:
    found = whole_plate(tip)
    return found, write_dxf(found.plan.loads[0])


@pytest.fixture
def fine_arcs() -> Iterator[None]:
    """GDAL turns arcs into chords of 4° unless told otherwise (GDAL manual, AutoCAD DXF driver)."""
    before = os.environ.get("OGR_ARC_STEPSIZE")
    os.environ["OGR_ARC_STEPSIZE"] = "0.1"
    try:
        yield
    finally:
        if before is None:
            del os.environ["OGR_ARC_STEPSIZE"]
        else:
            os.environ["OGR_ARC_STEPSIZE"] = before


def read_by_gdal(dxf: bytes) -> list[tuple[str, Any]]:
    """Layer and geometry of each entity."""
    meta, _, geometries, fields = pyogrio.raw.read(dxf)
    layers = fields[list(meta["fields"]).index("Layer")]
    return list(zip(layers, shapely.from_wkb(geometries), strict=True))


def closed_forms(tip: Tip) -> dict[str, float]:
    """Areas in mm², written out by hand for 20 blades of 4 3/4 in, 1 1/4 in from the centre, seam 1/4 in."""
    a, seam, inner, outer = math.pi / 20, 0.25 * IN, 1.25 * IN, 6 * IN
    if tip is Tip.ROUND:
        middle = (outer - seam) / (1 + math.sin(a))
        radius = middle * math.sin(a) + seam
        foot = middle - radius * math.sin(a)
        # The segment above the chord between the two tangent points: a sweep of 180° + 2a.
        cap = radius**2 / 2 * (math.pi + 2 * a + math.sin(2 * a))
    else:
        foot, cap = outer, 0.0
    half_widths = [y * math.tan(a) + seam / math.cos(a) for y in (inner, foot)]
    # Cover and turn make the centre's cut radius half an inch more than the opening's.
    centre = math.pi * (inner / math.cos(a) + 0.5 * IN) ** 2
    return {"blade": sum(half_widths) * (foot - inner) + cap, "centre": centre, "background": (13 * IN) ** 2}


@pytest.mark.parametrize("tip", Tip)
@pytest.mark.usefixtures("fine_arcs")
def test_gdal_reads_the_layers_and_closed_rings_of_the_right_area(tip: Tip) -> None:
    """Twenty blades, a centre, a background and two leaves: closed rings of their closed-form areas."""
    found = read_by_gdal(whole(tip)[1])
    assert {layer for layer, _ in found} == LAYERS
    cuts = [geometry for layer, geometry in found if layer == "CUT"]
    assert len(cuts) == 24
    assert all(geometry.is_ring for geometry in cuts)
    areas = sorted(shapely.Polygon(geometry.coords).area for geometry in cuts)
    expected = closed_forms(tip)
    leaf = shapely.Polygon([(0, -30), (25, 0), (0, 45), (-20, 5)])
    cut_leaf = leaf.buffer(0.25 * IN, join_style="mitre", mitre_limit=2.0).area
    whole_list = [expected["blade"]] * 20 + [expected["centre"], expected["background"]] + [cut_leaf] * 2
    assert areas == pytest.approx(sorted(whole_list), rel=1e-5)


@pytest.mark.parametrize("tip", Tip)
@pytest.mark.usefixtures("fine_arcs")
def test_gdal_sees_everything_on_the_mat(tip: Tip) -> None:
    """In mm, with the origin at the mat's lower left corner."""
    for _, geometry in read_by_gdal(whole(tip)[1]):
        left, low, right, high = geometry.bounds
        assert 0 <= left <= right <= 32 * IN
        assert 0 <= low <= high <= 32 * IN


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
