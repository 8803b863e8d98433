"""What is cut from which fabric, and the rough cuts that come before the mat."""

from __future__ import annotations

from collections.abc import Sequence

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import SoldBy, Unit, shown, sides_shown
from cutfiles.core.words import counted, listed
from cutfiles.job.model.job import Face, Job, Print
from cutfiles.nest.base.layout import FabricTally, Layout, RoughCut, alike_tallies
from cutfiles.nest.rough_cuts import PieceCuts, RoughPart, piece_cuts
from cutfiles.sheet.markup.cut_words import cut_words
from cutfiles.sheet.markup.markup import Content, Element, bullets, html, paragraph, section, table
from cutfiles.sheet.markup.words import of_shape
from cutfiles.sheet.pictures.cloth import Cloths
from cutfiles.sheet.pictures.load_texts import letter
from cutfiles.sheet.pictures.yard import Part, yard_drawing

FOR_ENDS_MM = 50.0  # what straightening both ends of a length from the shop may cost; common practice


def cutting_section(layout: Layout, unit: Unit) -> Element:
    """Return the cutting list, fabric by fabric."""
    headings = (
        "Fabric",
        "Pieces cut into",
        "Cut from it",
        "Used",
        "Left: the largest rest, across × along the grain",
    )
    used = [tally for tally in layout.tallies if tally.counts]
    unused = [tally for tally in layout.tallies if not tally.counts]
    parts: list[Content] = [table(headings, (_rows(alike, unit) for alike in alike_tallies(used)))]
    if any(tally.bought for tally in used):
        parts.append(
            paragraph(
                "Of fabric whose length the job leaves open, all that is cut lies on the length needed. What "
                "to buy is that, rounded up as fabric is sold."
            )
        )
    if unused:
        names = ", ".join(tally.fabric for tally in unused)
        parts.append(paragraph(f"Nothing is cut from: {names}."))
    return section("Cutting list", *parts)


def _rows(alike: tuple[FabricTally, ...], unit: Unit) -> list[list[Content]]:
    """The rows of fabrics that all give the same."""
    tally = alike[0]
    each = " each" if len(alike) > 1 else ""
    rows: list[list[Content]] = []
    for shape, count in tally.counts:
        all_ = f" ({tally.all_words(shape)})" if shape in tally.limited else ""
        rows.append(["", "", of_shape(count, shape) + each + all_, "", ""])
    rows[0][0] = ", ".join(fabric_tally.fabric for fabric_tally in alike)
    whole = tally.bought.words(unit) if tally.bought else f"{tally.pieces_used} of {tally.pieces}"
    rows[0][1] = f"{whole}{each}"
    rows[0][3] = f"{100 * tally.used_share:.0f} %"
    rows[0][4] = _left(tally, unit)
    return rows


def _left(tally: FabricTally, unit: Unit) -> str:
    size = tally.left.size(unit) if tally.left else ""
    whole = f"{counted(tally.pieces_whole, 'whole piece')}" if tally.pieces_whole else ""
    return "; ".join(part for part in (size, whole) if part) or "–"


def rough_cuts_section(job: Job, layout: Layout, cloths: Cloths) -> Element | None:
    """Return the rectangles to cut before anything goes onto the mat; nothing if there are none."""
    if not layout.rough_cuts:
        return None
    how = [
        "Lay each piece with its lengthwise grain running away from you and cut along the lines in the order "
        "of their numbers, each through all that is then in one piece. Chalk on every rectangle an arrow "
        "along the grain, and where it goes.",
        *_how_they_lie(job, layout.rough_cuts),
    ]
    parts: list[Content] = [paragraph(" ".join(how))]
    parts += [paragraph(text) for text in _bought(layout, job.unit)]
    pieces = piece_cuts(job, layout)
    faces = {(cuts.fabric, cuts.face) for cuts in pieces}
    for cuts in pieces:
        both = all((cuts.fabric, face) in faces for face in Face)
        parts.append(_rough_piece(cuts, job.unit, cloths, say_face=both))
    return section("Before cutting: rough cuts", *parts)


def _rough_piece(cuts: PieceCuts, unit: Unit, cloths: Cloths, *, say_face: bool) -> Element:
    """The picture of a piece, or of several that are cut alike, its cuts in words, and what comes of it."""
    kinds: dict[tuple[tuple[float, float], tuple[str, ...]], int] = {}
    for part in cuts.parts:
        kinds[_kind(part)] = kinds.get(_kind(part), 0) + 1
    letters = {kind: letter(index) for index, kind in enumerate(kinds)}
    drawn = [Part(part.bounds, letters[_kind(part)]) for part in cuts.parts]
    picture = yard_drawing(cuts.width_mm, cuts.length_mm, drawn, cuts.cuts, paint=cloths.paint(cuts.fabric))
    size = sides_shown(cuts.width_mm, cuts.length_mm, unit)
    much = f"{counted(len(cuts.pieces), 'piece')} of {size}, cut alike:"
    much = much if len(cuts.pieces) > 1 else f"{size}:"
    words: list[Content] = [paragraph(f"{much[:-1]}, {cuts.face.value}:" if say_face else much)]
    words.append(bullets(cut_words(cuts.cuts, unit) if cuts.cuts else _corners(cuts, unit)))
    rows = [
        [
            letters[size_and_goal],
            f"{f'{count} of ' if count > 1 else ''}{_sides(size_and_goal[0], unit)}",
            _goals(size_and_goal[1], cuts),
        ]
        for size_and_goal, count in kinds.items()
    ]
    words.append(table(("Letter", "Across × along", "Goes to"), ([row] for row in rows)))
    numbers = "" if cuts.pieces == (1,) else f", {_pieces(cuts)}"
    heading = html("h3", f"{cuts.fabric}{numbers}")
    return html("div", html("figure", picture), html("div", heading, *words), class_="beside")


def _kind(part: RoughPart) -> tuple[tuple[float, float], tuple[str, ...]]:
    width, length = part.size_mm
    return (round(width, 6), round(length, 6)), part.goes_to


def _pieces(cuts: PieceCuts) -> str:
    numbers = listed([str(piece) for piece in cuts.pieces])
    return f"piece{'s' if len(cuts.pieces) > 1 else ''} {numbers}"


def _sides(size: tuple[float, float], unit: Unit) -> str:
    if abs(size[0] - size[1]) < RULE_MM:
        return f"{shown(size[0], unit)} square"
    return sides_shown(*size, unit)


def _goals(goes_to: tuple[str, ...], cuts: PieceCuts) -> str:
    """Where a rectangle goes, or that of each of several pieces."""
    said = [goal if goal.startswith("load-") else f"{goal}, by hand" for goal in goes_to]
    if len(set(said)) == 1:
        return said[0]
    return "; ".join(f"{goal} (piece {piece})" for goal, piece in zip(said, cuts.pieces, strict=True))


def _corners(cuts: PieceCuts, unit: Unit) -> list[str]:
    """Where rectangles lie that no cut right through sets free."""
    return [
        f"{_sides(part.size_mm, unit)}: its corner {shown(part.bounds[0], unit)} from the left, "
        f"{shown(part.bounds[1], unit)} up"
        for part in cuts.parts
    ]


def _bought(layout: Layout, unit: Unit) -> list[str]:
    """What to see to before fabric that was bought by its length is cut; nothing if there is none."""
    tallies = [tally for tally in layout.tallies if tally.bought]
    cautions = []
    for tally in tallies:
        assert tally.bought is not None
        spare = tally.bought.buy_mm - tally.bought.as_bought_mm
        # Where the job says what is lost, it has seen to the ends.
        lost = tally.bought.as_bought_mm > tally.bought.length_mm
        if spare < FOR_ENDS_MM and not lost:
            over = f"{shown(spare, unit)} more than" if spare > RULE_MM else "just what"
            cautions.append(
                f"{tally.fabric}: {tally.bought.buy_words(unit)} is {over} is needed; take "
                f"{_one_step(tally.bought.sold_by(unit))} more if that is too little for its ends."
            )
    if tallies:
        names = listed([tally.fabric for tally in tallies])
        cautions.insert(0, f"Straighten the lower end of {names} first: cuts are measured from there.")
    return cautions


def _one_step(sold: SoldBy) -> str:
    return sold.words(sold.step_mm)


def _how_they_lie(job: Job, cuts: Sequence[RoughCut]) -> list[str]:
    """A sentence for each way in which fabrics lie while they are cut roughly."""
    faces: dict[str, set[Face]] = {}
    for cut in cuts:
        faces.setdefault(cut.fabric, set()).add(cut.face)
    ways: dict[str, list[str]] = {}
    for fabric in job.fabrics:
        if fabric.name in faces:
            way = _way_up(faces[fabric.name])
            if fabric.print_ is Print.ONE_WAY:
                way += ", the top of the print away from you, so that all arrows point up the print"
            ways.setdefault(way, []).append(fabric.name)
    return [f"{listed(fabrics)}: {way}." for way, fabrics in ways.items()]


def _way_up(faces: set[Face]) -> str:
    if len(faces) == 1:
        return next(iter(faces)).value
    return "some pieces right side up, some wrong side up, as it says beside each"
