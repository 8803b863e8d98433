"""The plates in their own fabrics: the right blade in the right colour, the same in every picture."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest
from lxml import etree

from cutfiles import parse_job
from cutfiles.job.model.job import Job
from cutfiles.nest.kitting.plates import with_plates
from cutfiles.sheet.html import job_sheet
from cutfiles.sheet.markup.colours import fabric_colours
from cutfiles.sheet.pictures.cloth_picture import ClothPicture
from tests.sheet.jobs import BY_HAND, HARBOUR, fabric, sheet_of
from tests.sheet.svg_paths import path_points

FAN = replace(
    HARBOUR,
    plate=replace(HARBOUR.plate, sewn=5, count=2),
    background=None,
    fabrics=(
        fabric("tide", 5, 5, 3, colour="#204060"),
        fabric("shingle", 5, 5, 3),
        fabric("lantern", 5, 5, 2, cuts=(("centre", HARBOUR.fabrics[0].cuts[0][1]),)),
    ),
)
RING = replace(HARBOUR, background=None, fabrics=HARBOUR.fabrics[:3])


def page_of(job: Job) -> tuple[etree._Element, tuple[tuple[str, ...], ...]]:
    """The job's sheet once its blades know their places, and the plates."""
    sheet = sheet_of(job)
    layout = with_plates(sheet.layout, sheet.plate, job.plate.order)
    page = job_sheet(job, sheet.plate, layout, sheet.plan, files=sheet.files)
    return etree.fromstring(page, etree.HTMLParser(encoding="utf-8")), layout.plates


def plate_pictures(page: etree._Element) -> list[etree._Element]:
    """The pictures of plates in their fabrics."""
    return page.xpath("//div[@class='plates']//svg")


@pytest.mark.parametrize("job", [RING, FAN], ids=["ring", "fan"])
def test_blades_stand_counter_clockwise_from_the_top(job: Job) -> None:
    """By the middles of drawn blades, as angles; a fan begins at its right end. Alike plates share one."""
    page, plates = page_of(job)
    pictures = plate_pictures(page)
    assert len(pictures) == len(set(plates))
    first = 90 + 180 / 20 if job is RING else 90 - 2 * 360 / 20
    for picture, order in zip(pictures, dict.fromkeys(plates), strict=True):
        blades = picture.xpath(".//path[@data-fabric]")
        assert [blade.get("data-fabric") for blade in blades] == list(order)
        for place, blade in enumerate(blades):
            points = path_points(blade.get("d"))
            x, y = (sum(point[axis] for point in points) / len(points) for axis in (0, 1))
            wanted = first + place * 360 / 20
            assert math.isclose((math.degrees(math.atan2(y, x)) - wanted + 180) % 360, 180, abs_tol=1.5)


def test_a_fabric_has_one_colour_in_all_pictures() -> None:
    """Its own where the job gives one; plates, key and mat loads agree."""
    page, _ = page_of(FAN)
    fills: dict[str, set[str]] = {}
    for drawn in page.xpath("//svg//*[@data-fabric]"):
        fills.setdefault(drawn.get("data-fabric"), set()).add(drawn.get("fill"))
    assert fills["tide"] == {"#204060"}
    assert len(fills["shingle"]) == len(fills["lantern"]) == 1
    key = [row.xpath(".//rect/@fill")[0] for row in page.xpath("//table//tr[.//rect]")]
    assert key == ["#204060", *fills["shingle"]]
    assert page.xpath("//figure[@class='plate']//circle/@fill")[0] == next(iter(fills["lantern"]))


def test_every_blade_tells_its_fabric_without_colour() -> None:
    """As many letters of each as blades, and every place once."""
    page, plates = page_of(FAN)
    letters = {"tide": "a", "shingle": "b"}
    for picture, order in zip(plate_pictures(page), dict.fromkeys(plates), strict=True):
        texts = [text.text for text in picture.iter("text")]
        assert texts[::2] == [letters[fabric] for fabric in order]
        assert texts[1::2] == ["1", "2", "3", "4", "5"]


def test_a_plate_of_one_fabric_needs_no_key() -> None:
    """Nobody asks which fabric stands where."""
    page, _ = page_of(BY_HAND)
    assert "Which fabric where" not in "".join(page.itertext())


def test_the_first_picture_has_a_key_of_its_fabrics() -> None:
    """Those of the first plate and of its centre, each in the colour that its blades have."""
    page, plates = page_of(FAN)
    key = {
        item.xpath("string()"): item.xpath(".//rect/@fill")[0] for item in page.xpath("//ul[@class='key']/li")
    }
    assert list(key) == [*dict.fromkeys(plates[0]), "lantern"]
    drawn = [blade.get("fill") for blade in page.xpath("//figure[@class='plate']//path[@class='blade']")]
    assert drawn == [key[fabric] for fabric in plates[0]]


def test_a_picture_is_in_the_page_once_and_plates_of_one_order_are_all_shown() -> None:
    """Each plate is cut from other parts of the cloth; they all refer to the one picture."""
    sheet = sheet_of(FAN)
    layout = with_plates(sheet.layout, sheet.plate, ("tide", "shingle"))
    shown = ClothPicture("image/png", b"not looked at again", 50.0, 40.0)
    page = job_sheet(
        FAN, sheet.plate, layout, sheet.plan, files=sheet.files, pictures={"tide": shown}
    ).decode()
    assert page.count("data:image/png;base64,") == page.count('<pattern id="cloth-1"') == 1
    tree = etree.fromstring(page, etree.HTMLParser())
    assert len(plate_pictures(tree)) == 2
    fills = [blade.get("fill") for blade in tree.xpath("//div[@class='plates']//path[@data-fabric='tide']")]
    assert fills
    assert set(fills) == {"url(#cloth-1)"}
    assert tree.xpath("//ul[@class='key']/li[1]//rect/@fill") == ["url(#cloth-1)"]


def test_twenty_fabrics_have_twenty_colours_that_letters_show_on() -> None:
    """No two alike, and black on each keeps a contrast of 4.5 to 1 (WCAG 2.1, 1.4.3)."""
    fabrics = parse_job(
        "[plate]\nblade_length = 4.75\ninner_radius = 1.25\n[[fabric]]\nwidth = 5\nlength = 5\n"
        f"names = {json.dumps([f'cloth {number}' for number in range(20)])}\n"
    ).fabrics
    colours = list(fabric_colours(fabrics).values())
    assert len(set(colours)) == 20

    def luminance(colour: str) -> float:
        parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))

    assert all((luminance(colour) + 0.05) / (luminance("#1d1d1d") + 0.05) >= 4.5 for colour in colours)
