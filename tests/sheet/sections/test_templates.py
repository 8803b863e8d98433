"""What the job sheet says of templates, and when it warns of what."""

from __future__ import annotations

from functools import cache

import pytest
from lxml import etree

from cutfiles.job.parse.read import parse_job
from cutfiles.pipeline import Made, Options, Sized, make
from cutfiles.plate.measure import plate_of
from tests.conftest import briefly

PLATE = """
[job]
title = "Harbour school"
[plate]
blade_length = "4 3/4"
inner_radius = "1 1/4"
sewn = 1
[centre]
"""
FABRIC = '[[fabric]]\nname = "tide"\nwidth = 5\nlength = 5\npieces = 2\ncuts = { blade = 1, centre = 1 }\n'
STOCK = '[stock]\nwidth = "300 mm"\nheight = "200 mm"\nkerf = "0.15 mm"\n'


@cache
def made(*tables: str) -> Made:
    shapes = "".join(f"[[template]]\n{table}\n" for table in tables)
    job = parse_job(PLATE + (shapes + STOCK if tables else FABRIC))
    return make(Sized(job, plate_of(job), ()), Options(("svg",), around_search=briefly))


@cache
def page(*tables: str) -> etree._Element:
    return etree.HTML(made(*tables).files["job-sheet.html"])


def text(*tables: str) -> str:
    return " ".join(" ".join(page(*tables).itertext()).split())


def test_each_part_is_listed_with_its_size() -> None:
    """In the job's unit, then in mm as the kerf is: 3.0312 in across the centre, the blade 4 3/4 in up."""
    page_text = text('shape = "blade"\ncount = 3', 'shape = "centre"')
    assert "blade 3 2.393 × 4.750 in (60.79 × 120.65 mm)" in page_text
    assert "centre 1 3.031 in (76.99 mm) across" in page_text
    assert "3 × blade and 1 × centre" in page_text
    assert "300 × 200 mm and 3 mm thick" in page_text
    assert "for a kerf of 0.15 mm" in page_text


def test_the_cautions_name_their_sources() -> None:
    """Lasers, materials, edges, knives; irons where there is a circle to gather over."""
    page_text = text('shape = "blade"')
    for words in ("IEC 60825-1", "never PVC", "Carnegie Mellon University IDeATe", "Iowa State University"):
        assert words in page_text
    for words in ("manual, local rules", "deburr", "Rotary cutter along a template"):
        assert words in page_text
    assert "No iron touches acrylic" not in page_text
    assert "No iron touches acrylic" in text('shape = "centre"')


def test_without_templates_nothing_is_said_of_them() -> None:
    """No laser, no stock."""
    page_text = text()
    assert not [word for word in ("Laser", "acrylic", "Templates") if word in page_text]


def test_what_is_mirrored_is_told_on_its_own_sheet() -> None:
    """And on no other."""
    tables = ('shape = "placement"\ndiameter = 7', 'shape = "blade"\ncount = 2\nface = "engrave from behind"')
    sections = [
        " ".join("".join(element.itertext()).split())
        for element in page(*tables).iter("section")
        if "Templates, sheet" in "".join(element.itertext())
    ]
    layout = made(*tables).templates
    assert layout is not None
    for words, load in zip(sections, layout.layout.loads, strict=True):
        there = any(placement.shape == "blade" for placement in load.fabrics[0].placements)
        assert ("turned over: blade." in words) == there


@pytest.mark.parametrize("shape", ["blade", "centre-ring"])
def test_the_picture_has_every_part_and_hole(shape: str) -> None:
    """Each part once by its id, and heavy lines for its hole."""
    whole_page = page(f'shape = "{shape}"\ncount = 2')
    ids = [element.get("data-piece") for element in whole_page.iter() if element.get("data-piece")]
    assert ids == [f"stock-{shape}-001", f"stock-{shape}-002"]


def test_templates_alone_need_no_fabric() -> None:
    """Nothing is cut from any, and nobody is told that pieces are missing."""
    alone = made('shape = "blade"')
    assert not alone.nested.loads
    assert not alone.notes
    assert set(alone.files) == {"template-01.svg", "job-sheet.html", "layout.json"}
    assert "Cutting list" not in text('shape = "blade"')
