"""Outlines out of an SVG: every basic shape and path of it, at true size, y up.

Nothing is fetched and no entity is expanded: lxml is told so, and a file that declares entities is refused.
A length without a unit is a CSS pixel, 1/96 in (W3C CSS Values 3, absolute lengths).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from lxml import etree

from cutfiles.core.errors import GeometryError
from cutfiles.core.units import MM_PER_INCH
from cutfiles.geometry.outline import Circle, Point
from cutfiles.pieces.drawings.path_text import DrawnSubpath, PathStroke, numbers_of, subpaths
from cutfiles.pieces.drawings.strokes import MOST_STROKES, Affine, Oval, Run, Straight, moved, run_of
from cutfiles.pieces.drawings.transform import affine_of, length_px, viewport

_SVG = "http://www.w3.org/2000/svg"
_ENTITIES = "declares entities, which are not read; save it as plain SVG"
_GROUPS = {"g", "a", "switch"}
_SHAPES = {"path", "circle", "ellipse", "rect", "polygon", "polyline", "line"}
_TRUE_SIZE = Affine(MM_PER_INCH / 96, 0.0, 0.0, -MM_PER_INCH / 96, 0.0, 0.0)  # px, y down, to mm, y up
_HIDDEN = re.compile(r"(?:^|;)\s*(?:display\s*:\s*none|visibility\s*:\s*(?:hidden|collapse))\s*(?:;|!|$)")


def svg_runs(content: bytes) -> list[Run | Circle]:
    """Return all that an SVG draws, in mm.

    Raises:
        GeometryError: it is no well-formed SVG, or draws what can't be read.
    """
    root = _root(content)
    place = _TRUE_SIZE.after(affine_of(root.get("transform") or "")).after(viewport(root))
    runs: list[Run | Circle] = []
    strokes = 0
    for child in root:
        for shape, inner in _shapes(child, place):
            for subpath in _subpaths(shape):
                strokes += len(subpath.strokes)
                if strokes > MOST_STROKES:
                    raise GeometryError(f"is of more than {MOST_STROKES} lines and curves; simplify it")
                row = [moved(stroke, inner) for stroke in subpath.strokes]
                runs.append(run_of(row, closed=subpath.closed))
    return runs


def _root(content: bytes) -> etree._Element:
    # Before it is parsed: lxml leaves entities in text alone, but not those in attributes.
    if any("<!ENTITY".encode(encoding) in content for encoding in ("ascii", "utf-16-le", "utf-16-be")):
        raise GeometryError(_ENTITIES)
    parser = etree.XMLParser(
        resolve_entities=False,
        no_network=True,
        huge_tree=False,
        load_dtd=False,
        remove_comments=True,
        remove_pis=True,
    )
    try:
        root = etree.fromstring(content, parser)
    except (etree.XMLSyntaxError, LookupError, ValueError) as error:
        text = " ".join(str(error).split()).partition(" (<string>")[0][:120]
        # The parser quotes what it found, whatever that is.
        text = text if text.isprintable() else ascii(text)
        raise GeometryError(f"is no well-formed SVG ({text}); export it anew") from None
    declared: Any = root.getroottree().docinfo.internalDTD
    if declared is not None and declared.entities():  # in an encoding that the bytes don't show
        raise GeometryError(_ENTITIES)
    if _name(root) != "svg":
        raise GeometryError("is XML, but no SVG; export it as SVG")
    return root


def _name(element: etree._Element) -> str:
    """The tag of an SVG element, also of a file that forgot the namespace; empty for any other."""
    tag = element.tag
    if not isinstance(tag, str):
        return ""
    space, _, name = tag.rpartition("}")
    return name if space.lstrip("{") in ("", _SVG) else ""


def _shapes(element: etree._Element, outer: Affine) -> Iterator[tuple[etree._Element, Affine]]:
    """Each drawn shape with the map from its own units to mm; depth is bounded by the XML reader."""
    name = _name(element)
    if name == "use":
        raise GeometryError("holds a clone (<use>), which is not read; unlink it and save again")
    if name == "svg":
        raise GeometryError("holds an <svg> within the <svg>; ungroup it and save again")
    if name not in _GROUPS | _SHAPES or _is_hidden(element):
        return  # words, pictures, definitions, what other programs keep for themselves
    place = outer.after(affine_of(element.get("transform") or ""))
    if name in _SHAPES:
        yield element, place
        return
    for child in element:
        yield from _shapes(child, place)


def _is_hidden(element: etree._Element) -> bool:
    style = element.get("style") or ""
    if re.search(r"(?:^|;)\s*transform\s*:", style):
        raise GeometryError("moves a shape in its style; write that as a transform, or save as plain SVG")
    return (
        element.get("display") == "none"
        or element.get("visibility") in ("hidden", "collapse")
        or bool(_HIDDEN.search(style))
    )


def _subpaths(element: etree._Element) -> list[DrawnSubpath]:
    """The strokes of a shape in its own units."""
    name = _name(element)
    if name == "path":
        return subpaths(element.get("d") or "")
    if name in ("polygon", "polyline"):
        numbers = numbers_of(element.get("points") or "", "points")
        if len(numbers) % 2:
            raise GeometryError("has points with a number missing; export it anew")
        corners = list(zip(numbers[::2], numbers[1::2], strict=True))
        return _chain(corners, closed=name == "polygon")
    if name == "line":
        x1, y1, x2, y2 = (_length(element, key) for key in ("x1", "y1", "x2", "y2"))
        return _chain([(x1, y1), (x2, y2)], closed=False)
    if name == "rect":
        return _rect(element)
    across, up = _radii(element, name)
    if across <= 0 or up <= 0:
        return []  # switched off, says the standard
    centre = (_length(element, "cx"), _length(element, "cy"))
    return [DrawnSubpath([Oval(centre, (across, 0.0), (0.0, up))], closed=True)]


def _length(element: etree._Element, key: str) -> float:
    return length_px(element.get(key) or "0", key)


def _radii(element: etree._Element, name: str) -> tuple[float, float]:
    if name == "circle":
        radius = _length(element, "r")
        return radius, radius
    return _one_for_both(element)


def _one_for_both(element: etree._Element) -> tuple[float, float]:
    """`rx` and `ry`; one that is left out, or says auto, is as the other."""
    given = [element.get(key) for key in ("rx", "ry")]
    across, up = (
        None if text is None or text.strip() == "auto" else length_px(text, key)
        for text, key in zip(given, ("rx", "ry"), strict=True)
    )
    if across is None:
        across = up
    return across or 0.0, (across if up is None else up) or 0.0


def _chain(corners: list[Point], *, closed: bool) -> list[DrawnSubpath]:
    if closed:
        corners = [*corners, *corners[:1]]
    edges: list[PathStroke] = [Straight(start, end) for start, end in pairwise(corners)]
    return [DrawnSubpath(edges, closed)] if edges else []


def _rect(element: etree._Element) -> list[DrawnSubpath]:
    x, y, width, height = (_length(element, key) for key in ("x", "y", "width", "height"))
    if width <= 0 or height <= 0:
        return []
    across, up = _one_for_both(element)
    across, up = min(max(across, 0.0), width / 2), min(max(up, 0.0), height / 2)
    if across == 0 or up == 0:
        return _chain([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], closed=True)
    # W3C SVG 1.1, 9.2: along the top first, each corner a quarter of an ellipse.
    left, right, top, bottom = x + across, x + width - across, y + up, y + height - up
    quarter = Affine(0.0, 1.0, -1.0, 0.0)
    strokes: list[PathStroke] = []
    ends = (
        ((left, y), (right, y), (right, top)),
        ((x + width, top), (x + width, bottom), (right, bottom)),
        ((right, y + height), (left, y + height), (left, bottom)),
        ((x, bottom), (x, top), (left, top)),
    )
    start = (0.0, -1.0)  # from the centre of a corner, as shares of the radii
    for begin, end, centre in ends:
        if begin != end:
            strokes.append(Straight(begin, end))
        turned = quarter.vector(start)
        strokes.append(
            Oval(
                centre,
                (start[0] * across, start[1] * up),
                (turned[0] * across, turned[1] * up),
                sweep_rad=math.pi / 2,
            )
        )
        start = turned
    return [DrawnSubpath(strokes, closed=True)]
