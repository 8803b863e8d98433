"""Our SVG against the standard: the W3C's own DTD, and the values that a DTD can't see."""

from __future__ import annotations

import math
import re
from functools import cache
from pathlib import Path

import pytest
from lxml import etree

from cutfiles.formats.svg.write import write_svg
from cutfiles.tips.registry import Tip
from tests.outside.made import whole_plate

# Source: W3C, Scalable Vector Graphics (SVG) 1.1 (Second Edition), 2011; see fixtures/w3c/README.md.
DTD = Path(__file__).parents[2] / "fixtures" / "w3c" / "svg11-tiny.dtd"
SVG = "{http://www.w3.org/2000/svg}"
NUMBER = r"-?(?:\d+(?:\.\d+)?|\.\d+)"
# The grammar of path data, SVG 1.1 section 8.3.9, of the commands that are promised.
PATH = re.compile(
    rf"M{NUMBER} {NUMBER}(?: (?:L{NUMBER} {NUMBER}|A{NUMBER} {NUMBER} 0 [01] [01] {NUMBER} {NUMBER}))+Z?"
)
ARC = re.compile(rf"A({NUMBER}) ({NUMBER}) 0 ([01]) ([01]) ({NUMBER}) ({NUMBER})")


@cache
def written(tip: Tip) -> bytes:
    return write_svg(whole_plate(tip).plan.loads[0])


@pytest.fixture(params=list(Tip), ids=lambda tip: tip.value)
def root(request: pytest.FixtureRequest) -> etree._Element:
    return etree.fromstring(written(request.param))


def test_the_dtd_is_the_published_one_and_refuses_what_is_not_svg() -> None:
    """A check that lets everything pass is none."""
    assert b"Permission to use, copy, modify and distribute the SVG DTD" in DTD.read_bytes()
    dtd = etree.DTD(str(DTD))
    assert dtd.validate(etree.fromstring('<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0"/></svg>'))
    assert not dtd.validate(etree.fromstring('<svg xmlns="http://www.w3.org/2000/svg"><path/></svg>'))
    assert not dtd.validate(etree.fromstring('<svg xmlns="http://www.w3.org/2000/svg"><wedge/></svg>'))


def test_files_are_valid_by_the_published_dtd(root: etree._Element) -> None:
    """Elements, attributes and ids are those of SVG 1.1 Tiny, and no id stands twice."""
    dtd = etree.DTD(str(DTD))
    assert dtd.validate(root), dtd.error_log.filter_from_errors()


def test_width_height_and_view_are_one_size_in_millimetres(root: etree._Element) -> None:
    """True size in every reader: section 7.7, one user unit is one mm."""
    assert root.get("width") == f"{root.get('viewBox').split()[2]}mm"  # type: ignore[union-attr]
    assert root.get("height") == f"{root.get('viewBox').split()[3]}mm"  # type: ignore[union-attr]
    assert root.get("viewBox") == "0 0 812.8 812.8"


def test_every_number_is_finite_and_on_the_mat(root: etree._Element) -> None:
    """No NaN, no exponent, nothing off the mat."""
    names = ("x1", "x2", "y1", "y2", "cx", "cy", "r", "points", "d")
    found = 0
    for element in root.iter():
        for name in names:
            for word in re.split(r"[\s,]+", re.sub("[MLAZ]", " ", element.get(name) or "").strip()):
                if word:
                    assert re.fullmatch(NUMBER, word), (name, word)
                    assert 0 <= float(word) <= 812.8
                    found += 1
    assert found > 100


def test_paths_and_arcs_are_well_formed(root: etree._Element) -> None:
    """Path data follow the grammar, and an arc's radius reaches from end to end (section F.6.6)."""
    arcs = 0
    for element in root.iter(f"{SVG}path"):
        data = element.get("d") or ""
        assert PATH.fullmatch(data.replace("Z", "")), data
        here = (0.0, 0.0)
        for command in re.findall(r"[MLA][^MLAZ]*", data):
            arc = ARC.match(command)
            words = [float(word) for word in command[1:].split()]
            end = (words[-2], words[-1])
            if arc:
                rx, ry = float(arc[1]), float(arc[2])
                assert rx == ry > 0
                # Else a reader would have to scale the radius up, silently.
                assert math.dist(here, end) <= 2 * rx + 2e-4
                arcs += 1
            here = end
    # On each of twenty round blades, two cut and one drawn.
    assert arcs == (60 if list(root.iter(f"{SVG}path")) else 0)


def test_round_tips_stay_true_arcs_and_centres_true_circles() -> None:
    """Twenty cut arcs, twenty sewn ones; the centre's two circles, the background's two, a mark's ring."""
    root = etree.fromstring(written(Tip.ROUND))
    assert len(list(root.iter(f"{SVG}path"))) == 40
    assert len(list(root.iter(f"{SVG}circle"))) == 5
