"""A job that is cut by hand: each fabric in strips, each strip at its marks. Common practice; no source."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from cutfiles.core.units import MM_PER_INCH, Unit, shown, sides_shown
from cutfiles.core.words import counted, listed
from cutfiles.geometry.outline import Bounds
from cutfiles.geometry.rectangles import depth_mm
from cutfiles.job.model.job import FabricSpec, Job, Print
from cutfiles.nest.base.layout import Layout, Lie, Strip
from cutfiles.nest.cutting_rules.guillotine import through_cuts
from cutfiles.nest.rough_cuts import lengths_of
from cutfiles.plate.plate import Plate
from cutfiles.plate.strips import wedges_of
from cutfiles.sheet.markup.cut_words import cut_words
from cutfiles.sheet.markup.markup import Content, Element, bullets, html, paragraph, section, steps
from cutfiles.sheet.markup.words import of_shape
from cutfiles.sheet.pictures.cloth import Cloths
from cutfiles.sheet.pictures.load_texts import letter
from cutfiles.sheet.pictures.strip import rule_error, strip_drawing
from cutfiles.sheet.pictures.yard import Part, yard_drawing

# From here on a piece is folded to be straightened; narrower ones are turned under the ruler.
_WIDE_MM = 30 * MM_PER_INCH


_UNITS = {Unit.IN: "inches", Unit.CM: "cm", Unit.MM: "mm"}


@dataclass(frozen=True, slots=True)
class _StripKind:
    """Strips that are cut and marked alike."""

    height_mm: float
    long_mm: float
    shape: str
    count: int
    lie: Lie
    turn_deg: float
    top_mm: tuple[float, ...]

    @staticmethod
    def of_strip(strip: Strip) -> _StripKind:
        long = strip.length_mm if strip.is_lengthwise else strip.width_mm
        return _StripKind(
            strip.height_mm, long, strip.shape, strip.count, strip.lie, strip.turn_deg, strip.top_mm
        )


@dataclass(frozen=True, slots=True)
class _StripTable:
    """How lengths are said, how fabrics look, and how long a piece of each is."""

    unit: Unit
    cloths: Cloths
    lengths_mm: dict[str, float]

    @staticmethod
    def of_layout(job: Job, layout: Layout, cloths: Cloths) -> _StripTable:
        return _StripTable(job.unit, cloths, lengths_of(job, layout))


def strips_section(job: Job, plate: Plate, layout: Layout, cloths: Cloths) -> Element | None:
    """Return how each fabric is cut by ruler; nothing where a machine cuts."""
    if not layout.strips:
        return None
    fabrics = {fabric.name: fabric for fabric in job.fabrics}
    names = list(dict.fromkeys(strip.fabric for strip in layout.strips))
    # Fabrics of one size that are cut alike are told once.
    groups: dict[object, list[str]] = {}
    for name in names:
        own = [strip for strip in layout.strips if strip.fabric == name]
        key = (_look(own), fabrics[name].width_mm, fabrics[name].length_mm, fabrics[name].print_)
        groups.setdefault(key, []).append(name)
    table = _StripTable.of_layout(job, layout, cloths)
    parts: list[Content] = [html("div", steps(_steps(job, plate, layout)), class_="keep")]
    for alike in groups.values():
        own = [strip for strip in layout.strips if strip.fabric == alike[0]]
        parts.append(_fabric(fabrics[alike[0]], alike, own, table))
    return section("Cut by hand: strips", *parts)


def _look(strips: Sequence[Strip]) -> tuple[object, ...]:
    return tuple((strip.piece, strip.x_mm, strip.y_mm, _StripKind.of_strip(strip)) for strip in strips)


def _steps(job: Job, plate: Plate, layout: Layout) -> list[Content]:
    """What is done to every fabric, in order."""
    unit = job.unit
    instructions: list[Content] = ["Press the cloth flat."]
    if any(fabric.as_needed or fabric.width_mm >= _WIDE_MM for fabric in job.fabrics):
        instructions.append(
            "Straighten a wide one: fold it selvedge to selvedge so that the fold hangs flat, and cut the "
            "lower edge square to the fold. Unfold it, and lay its lower edge nearest to you."
        )
    instructions.append(
        "Cut it into strips along the numbered lines of its picture, in their order. Each number says how "
        "far the ruler goes from the edge that was cut before."
    )
    longest = max(_StripKind.of_strip(strip).long_mm for strip in layout.strips)
    if longest > max(job.mat.width_mm, job.mat.height_mm):
        mat = sides_shown(job.mat.width_mm, job.mat.height_mm, unit)
        instructions.append(
            f"Where cloth is longer than your mat ({mat}), move it along: cut only where the mat is under it."
        )
    if any(strip.lie is not Lie.SIDE_BY_SIDE for strip in layout.strips):
        instructions += _wedge_steps(job, plate, layout)
    if any(strip.lie is Lie.SIDE_BY_SIDE for strip in layout.strips):
        instructions.append(
            "Cut strips of squares and rectangles square across, as it says. Circles and other shapes are "
            "cut from theirs along the template, or as “The pieces one by one” says."
        )
    total = Counter[tuple[str, str]]()
    for cut in layout.hand_cuts:
        total[cut.fabric, cut.shape] += cut.count
    gives = listed([f"{of_shape(count, shape)} of {fabric}" for (fabric, shape), count in total.items()])
    instructions.append(f"Count: {gives}.")
    return instructions


def _wedge_steps(job: Job, plate: Plate, layout: Layout) -> list[Content]:
    unit = job.unit
    shapes = list(dict.fromkeys(strip.shape for strip in layout.strips if strip.lie is not Lie.SIDE_BY_SIDE))
    wedges = wedges_of(plate)
    sides = listed(
        [
            f"{shown(wedges[shape].side_mm, unit)}{f' ({shape})' if len(shapes) > 1 else ''}"
            for shape in shapes
        ]
    )
    instructions: list[Content] = [
        "Lay a strip across before you. Mark its upper and its lower edge with a pencil, as far from its "
        "left end as its picture says: always from that end, so that no error adds to another.",
        f"Cut along a ruler from each mark above to the mark below that its line leads to. Check the first "
        f"piece: its slanted sides are {sides} long, and the template lies on it edge on edge.",
    ]
    if any(strip.lie is Lie.END_FOR_END for strip in layout.strips):
        instructions.append(
            "Where pieces lie end for end every other one has its wide end below: each cut is the side of "
            "two, and there is no waste between them."
        )
    if any(strip.lie is Lie.ONE_WAY for strip in layout.strips):
        instructions.append(
            "Where a print runs one way all wide ends lie above, and the triangles between are waste."
        )
    instructions.append(
        "Or lay the template on the strip in place of marks: wide end and narrow end on its edges, then "
        "turned end for end beside the last cut. Cut along a ruler laid on it, never along paper or card."
    )
    if any(fabric.pieces > 1 for fabric in job.fabrics):
        instructions.append(
            "Pieces that are cut alike may be cut two at a time: lay one on another, edges and print the "
            "same way, and press the ruler down well."
        )
    trimmed = plate.blade.tip.finish.words.trimmed
    if trimmed:
        instructions.append(f"Cut the {trimmed} of each blade along the template last.")
    return instructions


def _fabric(fabric: FabricSpec, names: Sequence[str], strips: Sequence[Strip], bench: _StripTable) -> Element:
    """One fabric, or several that are cut alike: its pieces, and each kind of strip."""
    counts: Counter[str] = Counter()
    for strip in strips:
        counts[strip.shape] += strip.count
    gives = listed([of_shape(count, shape) for shape, count in counts.items()])
    each = " each" if len(names) > 1 else ""
    kinds: dict[_StripKind, str] = {}
    for strip in strips:
        kinds.setdefault(_StripKind.of_strip(strip), letter(len(kinds)))
    pieces: dict[tuple[object, ...], list[int]] = {}
    for piece in dict.fromkeys(strip.piece for strip in strips):
        own = [strip for strip in strips if strip.piece == piece]
        look = tuple((strip.x_mm, strip.y_mm, _StripKind.of_strip(strip)) for strip in own)
        pieces.setdefault(look, []).append(piece)
    parts: list[Content] = [html("h3", f"{', '.join(names)}: {gives}{each}")]
    for alike in pieces.values():
        own = [strip for strip in strips if strip.piece == alike[0]]
        parts.append(_piece(fabric, own, kinds, len(alike), bench))
    return html("div", *parts, *(_strip(strips, kind, kinds, bench) for kind in kinds))


def _piece(
    fabric: FabricSpec, strips: Sequence[Strip], kinds: dict[_StripKind, str], count: int, bench: _StripTable
) -> Element:
    """The picture of a piece with its cuts, and beside it what they are."""
    unit, cloths = bench.unit, bench.cloths
    high = bench.lengths_mm[fabric.name]
    boxes = [_box(strip, strips) for strip in strips]
    parts = [Part(box, kinds[_StripKind.of_strip(strip)]) for box, strip in zip(boxes, strips, strict=True)]
    cuts = through_cuts((0.0, 0.0, fabric.width_mm, high), boxes) or ()
    size = sides_shown(fabric.width_mm, high, unit)
    much = f"{counted(count, 'piece')} of {size}, cut alike:" if count > 1 else f"A piece of {size}:"
    lies = f", {fabric.face.value}"
    if fabric.print_ is Print.ONE_WAY:
        lies += ", the top of its print away from you"
    words = html("div", paragraph(much), bullets(cut_words(cuts, unit)), paragraph(f"It lies{lies[1:]}."))
    figure = html("figure", yard_drawing(fabric.width_mm, high, parts, cuts, paint=cloths.paint(fabric.name)))
    return html("div", figure, words, class_="beside")


def _box(strip: Strip, strips: Sequence[Strip]) -> Bounds:
    """What is cut off as one: the whole strip, or what its pieces take where its rest is cut as well."""
    whole = (strip.x_mm, strip.y_mm, strip.x_mm + strip.width_mm, strip.y_mm + strip.length_mm)
    wide, long = strip.sides_mm
    taken = (strip.x_mm, strip.y_mm, strip.x_mm + wide, strip.y_mm + long)
    others = [other for other in strips if other is not strip]
    shared = any(
        depth_mm(whole, (other.x_mm, other.y_mm, other.x_mm + other.width_mm, other.y_mm + other.length_mm))
        > 0.01
        for other in others
    )
    return taken if shared else whole


def _begins(longer: _StripKind, kind: _StripKind) -> bool:
    """Whether a strip's marks are the first ones of another."""
    same = (longer.shape, longer.lie, longer.turn_deg) == (kind.shape, kind.lie, kind.turn_deg)
    return same and longer.count > kind.count


def _strip(
    strips: Sequence[Strip], kind: _StripKind, kinds: dict[_StripKind, str], bench: _StripTable
) -> Element:
    """A kind of strip: how many, how large, and where it is cut."""
    unit, cloths, name = bench.unit, bench.cloths, kinds[kind]
    alike = [strip for strip in strips if _StripKind.of_strip(strip) == kind]
    strip = alike[0]
    many = counted(len(alike), "strip")
    size = f"{shown(kind.height_mm, unit)} high"
    gives = f"{of_shape(kind.count, kind.shape)}{' from each' if len(alike) > 1 else ''}"
    if kind.lie is Lie.SIDE_BY_SIDE:
        width = kind.top_mm[1]
        square = abs(width - kind.height_mm) < 1e-6
        what = f"{shown(width, unit)} square" if square else sides_shown(width, kind.height_mm, unit)
        cut = f"cut square across every {shown(width, unit)}" if kind.count > 1 else "cut square across"
        return paragraph(f"{name}: {many} {size}, {cut}: {gives}, {what}.")
    longer = next((other for other in kinds if other is not kind and _begins(other, kind)), None)
    if longer is not None:
        return paragraph(f"{name}: {many} {size}, {gives}, at the first marks of {kinds[longer]}.")
    turned = ""
    if strip.is_lengthwise:
        side = "right" if strip.turn_deg == 90.0 else "left"
        turned = f" It runs along the grain: turn it a quarter to the {side} to lie across before you."
    caption = html(
        "figcaption",
        f"{name}: {many} {size}, {gives}, {kind.lie.value}. Marks are in {_UNITS[unit]}, from the left end, "
        f"right to {rule_error(unit)}.{turned}",
    )
    return html("figure", strip_drawing(strip, unit, paint=cloths.paint(strip.fabric)), caption)
