"""Which fabric stands where: a picture for each plate that is unlike the others, with a key."""

from __future__ import annotations

from collections import Counter

from cutfiles.core.words import listed
from cutfiles.job.model.job import Job
from cutfiles.job.model.needs import BACKGROUND, CENTRE
from cutfiles.nest.base.layout import Layout
from cutfiles.plate.finished import is_ring
from cutfiles.plate.order import Order
from cutfiles.plate.plate import Plate
from cutfiles.sheet.markup.colours import INK
from cutfiles.sheet.markup.markup import Content, Element, html, paragraph, section, svg, table
from cutfiles.sheet.pictures.cloth import Cloths, Fill, blades_at, pieces_of
from cutfiles.sheet.pictures.order import KeyEntry, key_letter, order_drawing
from cutfiles.sheet.pictures.plate import PlateFills

_LONG_KEY = 8  # rows; a longer key is two tables beside each other
_MOST_PICTURES = 12  # of further plates the letters are written out


def order_section(job: Job, plate: Plate, layout: Layout, cloths: Cloths) -> Element | None:
    """Return the section; None where all blades are of one fabric, or nobody knows of which."""
    names = {fabric for order in layout.plates for fabric in order}
    pictured = any(name in cloths.pictures for name in names)
    if len(names) < 2 and not pictured:
        return None
    used = [fabric.name for fabric in job.fabrics if any(fabric.name in order for order in layout.plates)]
    shown = {name: KeyEntry(key_letter(index), cloths.paint(name)) for index, name in enumerate(used)}
    what, start = ("plate", "at the top") if is_ring(plate) else ("fan", "at the right end")
    # Of plates of one order each shows other parts of the cloth.
    groups: dict[tuple[Order, int], list[int]] = {}
    for number, order in enumerate(layout.plates, start=1):
        groups.setdefault((order, number if pictured else 0), []).append(number)
    parts: list[Content] = [
        paragraph(
            f"Seen from the right side. Blades are sewn in the order of their numbers, counter-clockwise: "
            f"1 is {start}.{_of_labels(layout, what)}{_of_bands(plate)}"
        ),
    ]
    shown_plates = list(groups.items())[:_MOST_PICTURES]
    figures = [
        html("figure", drawing, html("figcaption", heading))
        for (order, _), numbers in shown_plates
        for heading in (_heading(what, numbers, len(layout.plates)),)
        for fills in (_blade_fills(plate, layout, cloths, numbers[0]),)
        for drawing in (order_drawing(plate, order, fills, shown, heading),)
    ]
    key, pictures = _key(plate, layout, shown), html("div", *figures, class_="plates")
    # The key of a single picture has room beside it.
    parts += [html("div", key, pictures, class_="keyed")] if len(figures) == 1 else [key, pictures]
    parts += [
        paragraph(f"{_heading(what, numbers, len(layout.plates))}: {_letters(order, shown)}")
        for (order, _), numbers in list(groups.items())[_MOST_PICTURES:]
    ]
    return section("Which fabric where", *parts)


def _of_labels(layout: Layout, what: str) -> str:
    """What the pen wrote on blades that a machine cut."""
    if not layout.loads:
        return ""
    return (
        f" A blade's label says {what} and place: 1·02, which the pen writes as 1.02, is the second blade of "
        f"{what} 1."
    )


def _of_bands(plate: Plate) -> str:
    if not plate.bands:
        return ""
    return f" All {len(plate.bands)} bands of a blade have its number; letters are listed innermost first."


def plate_fills(plate: Plate, layout: Layout, cloths: Cloths) -> PlateFills:
    """Return the looks of the first plate's fabrics, for the picture with its sizes."""
    blades = _blade_fills(plate, layout, cloths, 1) if layout.plates else ()
    return PlateFills(blades, _first(CENTRE, layout, cloths), _first(BACKGROUND, layout, cloths))


def plate_key(layout: Layout, cloths: Cloths) -> Element | None:
    """Return which fabric is which in that picture; None where nobody knows."""
    names = list(dict.fromkeys(layout.plates[0])) if layout.plates else []
    gives = {tally.fabric: dict(tally.counts) for tally in layout.tallies}
    for shape in (CENTRE, BACKGROUND):
        names += [name for name in gives if gives[name].get(shape)][:1]
    if not names:
        return None
    entries = [html("li", _swatch(cloths.paint(name)), name) for name in dict.fromkeys(names)]
    return html("ul", *entries, class_="key")


def _blade_fills(plate: Plate, layout: Layout, cloths: Cloths, number: int) -> tuple[Fill, ...]:
    """The fills of a plate's blades in the order of sewing; one cut by hand is in its colour alone."""
    placed_blades = blades_at(layout)
    found = []
    pieces = max(1, len(plate.bands))
    for index, fabric in enumerate(layout.plates[number - 1]):
        place, band = divmod(index, pieces)
        shape = plate.shapes[band if plate.bands else place % len(plate.shapes)]
        at = placed_blades.get((number, place + 1, shape.name))
        found.append(Fill(cloths.colours[fabric]) if at is None else cloths.of_piece(*at))
    return tuple(found)


def _first(shape: str, layout: Layout, cloths: Cloths) -> Fill | None:
    """The fill of the first piece of a shape that there is one of in a plate."""
    for laid, placement in pieces_of(layout):
        if placement.shape == shape:
            return cloths.of_piece(laid, placement)
    for cut in layout.rough_cuts:
        if cut.goes_to == shape:
            return cloths.of_rectangle(cut)
    names = [tally.fabric for tally in layout.tallies if dict(tally.counts).get(shape)]
    return Fill(cloths.colours[names[0]]) if names else None


def _letters(order: Order, shown: dict[str, KeyEntry]) -> str:
    return " ".join(shown[fabric].letter for fabric in order)


def _heading(what: str, numbers: list[int], plates: int) -> str:
    if len(numbers) == plates and plates > 1:
        return f"Every {what}"
    return (
        f"{what.capitalize()}{'s' if len(numbers) > 1 else ''} {listed([str(number) for number in numbers])}"
    )


def _key(plate: Plate, layout: Layout, shown: dict[str, KeyEntry]) -> Element:
    counts = Counter(fabric for order in layout.plates for fabric in order)
    rows: list[list[Content]] = [
        [mark.letter, _swatch(mark.paint), name, str(counts[name])] for name, mark in shown.items()
    ]
    head = ("Letter", "Look", "Fabric", "Blades sewn" if not plate.bands else "Bands sewn")
    if len(rows) <= _LONG_KEY:
        return table(head, ([row] for row in rows))
    half = (len(rows) + 1) // 2
    halves = (table(head, ([row] for row in some)) for some in (rows[:half], rows[half:]))
    return html("div", *halves, class_="two")


def _swatch(paint: str) -> Element:
    # So many mm of cloth in a swatch of a quarter of that: a print is still told by it.
    square = svg(
        "rect", x="0.8", y="0.8", width="26.4", height="14.4", fill=paint, stroke=INK, stroke_width="1"
    )
    return svg("svg", square, viewBox="0 0 28 16", width="7mm", height="4mm", aria_hidden="true")
