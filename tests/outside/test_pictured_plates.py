"""On each blade of a plate's picture lies that part of the cloth which it is cut from, as a renderer sees.

The cloth's picture tells its own places: red counts across it, green along it. The plate is rendered and
swept line by line; what every point of a blade shows is compared with where layout.json has it cut.
"""

from __future__ import annotations

import io
import json
import math
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
import resvg_py
import shapely
from lxml import etree
from PIL import Image

from cutfiles.geometry.outline import chords
from cutfiles.job.parse.read import read_job
from cutfiles.pipeline import Options, make, size
from cutfiles.plate.finished import finished_blade
from cutfiles.plate.plate import Plate
from tests.conftest import with_insertion

CLEAR_MM = 2.0  # from a blade's edge, where lines are drawn
ZOOM = 0.75  # a pixel for a little more than a mm: each takes the renderer its time
NEAR_MM = 2.5  # a pixel, a step of colour, and what a renderer smooths
Floats = npt.NDArray[np.float64]
JOB = """
[plate]
count = 2
blades = 12
sewn = SEWN
blade_length = "3"
inner_radius = "1"

[centre]

[[fabric]]
name = "tide"
width = 9
length = 10
pieces = 3
face = FACE
picture = "cloth.png"
picture_width = "256 mm"  # one step of colour a mm
print = "one-way"
grain = "GRAIN"
cuts = { blade = HALF, centre = "rest" }

[[fabric]]
name = "shingle"
width = 6
length = 9
pieces = 2
picture = "cloth.png"
picture_width = "256 mm"  # one step of colour a mm
cuts = { blade = "rest" }

[mat]
width = 8
height = 12
"""


def written(folder: Path, *, sewn: int, face: str, grain: str) -> Path:
    """A job of two fabrics too wide for the mat, beside a picture that tells places."""
    counted = np.arange(256)
    pixels = np.zeros((256, 256, 3), np.uint8)
    pixels[:, :, 0] = counted[np.newaxis, :]
    pixels[:, :, 1] = counted[::-1, np.newaxis]  # pictures have y down
    pixels[:, :, 2] = 128
    Image.fromarray(pixels).save(folder / "cloth.png")
    job = folder / "job.toml"
    text = JOB.replace("SEWN", str(sewn)).replace("FACE", face).replace("GRAIN", grain)
    job.write_text(text.replace("HALF", str(sewn)))
    return job


def rendered(page: etree._Element, picture: etree._Element) -> npt.NDArray[np.int_]:
    """A picture of the sheet without its words and lines, at `ZOOM` pixels for each of its units."""
    picture = etree.fromstring(etree.tostring(picture, with_tail=False))
    for text in picture.xpath("//*[local-name()='text']"):
        text.getparent().remove(text)
    for element in picture.iter():
        element.attrib.pop("stroke", None)
    picture.insert(0, etree.fromstring(etree.tostring(page.xpath("//body/svg/defs")[0], with_tail=False)))
    _, _, width, height = (float(part) for part in picture.get("viewbox", picture.get("viewBox")).split())
    text = etree.tostring(picture).decode().replace("viewbox=", "viewBox=")
    for name in ("patternUnits", "preserveAspectRatio"):
        text = text.replace(f"{name.lower()}=", f"{name}=")
    png = resvg_py.svg_to_bytes(svg_string=text, width=round(width * ZOOM), height=round(height * ZOOM))
    return np.array(Image.open(io.BytesIO(bytes(png))).convert("RGB")).astype(int)


def cut_at(layout: dict[str, Any], plate: int, place: int) -> tuple[dict[str, Any], dict[str, Any]]:
    """The rectangle of fabric and the piece in it that has a place."""
    return next(
        (laid, piece)
        for load in layout["loads"]
        for laid in load["fabrics"]
        for piece in laid["pieces"]
        if (piece.get("plate"), piece.get("place")) == (plate, place)
    )


def on_cloth(
    x: Floats, y: Floats, laid: dict[str, Any], piece: dict[str, Any], *, over: bool, width_mm: float
) -> tuple[Floats, Floats]:
    """Where points of a blade, seen from its right side, lie on its fabric: by way of the mat.

    Lengths from the lower left corner of the fabric's right side.
    """
    # Turned over to lie wrong side up, or mirrored by its pose for that: once, not twice.
    if over or piece["mirrored"]:
        x = -x
    turn = math.radians(piece["turn_deg"])
    mat_x = piece["x_mm"] + x * math.cos(turn) - y * math.sin(turn)
    mat_y = piece["y_mm"] + x * math.sin(turn) + y * math.cos(turn)
    across, along = mat_x - laid["x_mm"], mat_y - laid["y_mm"]
    if laid["turn_deg"] == 90:
        across, along = along, laid["length_mm"] - across
    across, along = across + laid["from_mm"][0], along + laid["from_mm"][1]
    return (width_mm - across if over else across), along


@cache
def blade_region(plate: Plate) -> shapely.Polygon:
    """The finished blade, upright, away from its lines."""
    region = shapely.Polygon(chords(finished_blade(plate.blade), stray_mm=0.1)).buffer(-CLEAR_MM)
    shapely.prepare(region)  # hundreds of thousands of points are asked for
    return region


@pytest.mark.parametrize(
    ("sewn", "face", "grain"),
    [
        (12, '"wrong side up"', "lengthwise"),
        (5, '"right side up"', "crosswise"),
        (12, '"wrong side up"', "crosswise"),
        (5, '{ blade = "right side up", centre = "wrong side up" }', "crosswise"),
    ],
)
def test_each_blade_shows_the_cloth_that_it_is_cut_from(
    tmp_path: Path, sewn: int, face: str, grain: str
) -> None:
    """Every point of every blade of both plates, cut from turned, rough-cut and turned-over cloth."""
    path = written(tmp_path, sewn=sewn, face=face, grain=grain)
    job = read_job(path)
    made = make(path, Options(("svg",), around_search=with_insertion, processes=1))
    layout, plate = json.loads(made.files["layout.json"]), size(path).plate
    assert layout["rough_cuts"]  # or nothing would be told of where on its piece a rectangle lies
    page = etree.fromstring(made.files["job-sheet.html"], etree.HTMLParser(encoding="utf-8"))
    pictures = page.xpath("//div[@class='plates']//svg")
    assert len(pictures) == 2
    faces = {fabric.name: fabric for fabric in job.fabrics}
    for number, picture in enumerate(pictures, start=1):
        pixels = rendered(page, picture)
        left, top, width, _ = (float(part) for part in picture.get("viewbox").split())
        unit = pixels.shape[1] / width
        scale = 240.0 / (2 * plate.blade.tip_radius_mm)  # what the picture calls so many mm
        rows, columns = np.mgrid[0 : pixels.shape[0], 0 : pixels.shape[1]]
        xs = ((columns + 0.5) / unit + left) / scale
        ys = -((rows + 0.5) / unit + top) / scale
        step = 360 / 12
        # A ring of twelve has a seam at the top, a fan begins at its right end.
        first = step / 2 if sewn == 12 else -(sewn - 1) / 2 * step
        for place in range(1, sewn + 1):
            turn = math.radians(first + (place - 1) * step)
            own_x = xs * math.cos(turn) + ys * math.sin(turn)
            own_y = -xs * math.sin(turn) + ys * math.cos(turn)
            inside = shapely.contains_xy(blade_region(plate), own_x, own_y)
            inside &= own_x**2 + own_y**2 > (plate.centre.finished_radius_mm + CLEAR_MM) ** 2  # type: ignore[union-attr]
            assert inside.sum() > 100
            laid, piece = cut_at(layout, number, place)
            fabric = faces[laid["fabric"]]
            over = laid["face"] == "wrong side up"
            wanted = on_cloth(own_x[inside], own_y[inside], laid, piece, over=over, width_mm=fabric.width_mm)
            red, green, blue = pixels[rows[inside], columns[inside]].T
            assert np.abs(blue - 128).max() <= 2
            for found, mm in zip((red, green), wanted, strict=True):
                assert np.abs(found + 0.5 - mm).max() < NEAR_MM, (number, place)
