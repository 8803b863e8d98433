"""Which fabric stands where: a picture for each plate that is unlike the others, with a key."""

from __future__ import annotations

from collections import Counter

from cutfiles.job.model.job import Job
from cutfiles.job.model.needs import BACKGROUND, CENTRE
from cutfiles.nest.base.layout import Layout
from cutfiles.plate.finished import is_ring
from cutfiles.plate.order import Order
from cutfiles.plate.plate import Plate
from cutfiles.sheet.markup.colours import INK, fabric_colours
from cutfiles.sheet.markup.markup import Content, Element, html, paragraph, section, svg, table
from cutfiles.sheet.markup.words import listed
from cutfiles.sheet.pictures.order import Shown, key_letter, order_drawing
from cutfiles.sheet.pictures.plate import PlateColours

_MOST_PICTURES = 12  # of further plates the letters are written out


def order_section(job: Job, plate: Plate, layout: Layout) -> Element | None:
    """Return the section; None where all blades are of one fabric, or nobody knows of which."""
    if len({fabric for order in layout.plates for fabric in order}) < 2:
        return None
    colours = fabric_colours(job.fabrics)
    used = [fabric.name for fabric in job.fabrics if any(fabric.name in order for order in layout.plates)]
    shown = {name: Shown(key_letter(index), colours[name]) for index, name in enumerate(used)}
    what, start = ("plate", "at the top") if is_ring(plate) else ("fan", "at the right end")
    groups: dict[Order, list[int]] = {}
    for number, order in enumerate(layout.plates, start=1):
        groups.setdefault(order, []).append(number)
    parts: list[Content] = [
        paragraph(
            f"Seen from the right side. Blades are sewn in the order of their numbers, counter-clockwise: "
            f"1 is {start}. A blade's label says {what} and place: 1·02, which the pen writes as 1.02, is "
            f"the second blade of {what} 1."
        ),
        _key(layout, shown),
    ]
    pictured = list(groups.items())[:_MOST_PICTURES]
    figures = [
        html("figure", order_drawing(plate, order, shown, heading), html("figcaption", heading))
        for order, numbers in pictured
        for heading in (_heading(what, numbers, len(layout.plates)),)
    ]
    parts.append(html("div", *figures, class_="plates"))
    parts += [
        paragraph(f"{_heading(what, numbers, len(layout.plates))}: {_letters(order, shown)}")
        for order, numbers in list(groups.items())[_MOST_PICTURES:]
    ]
    return section("Which fabric where", *parts)


def plate_colours(job: Job, layout: Layout) -> PlateColours:
    """Return the colours of the first plate's fabrics, for the picture with its sizes."""
    colours = fabric_colours(job.fabrics)

    def giver(shape: str) -> str:
        names = [tally.fabric for tally in layout.tallies if dict(tally.counts).get(shape)]
        return colours[names[0]] if names else ""

    blades = tuple(colours[fabric] for fabric in layout.plates[0]) if layout.plates else ()
    return PlateColours(blades, giver(CENTRE), giver(BACKGROUND))


def _letters(order: Order, shown: dict[str, Shown]) -> str:
    return " ".join(shown[fabric].letter for fabric in order)


def _heading(what: str, numbers: list[int], plates: int) -> str:
    if len(numbers) == plates and plates > 1:
        return f"Every {what}"
    return (
        f"{what.capitalize()}{'s' if len(numbers) > 1 else ''} {listed([str(number) for number in numbers])}"
    )


def _key(layout: Layout, shown: dict[str, Shown]) -> Element:
    counts = Counter(fabric for order in layout.plates for fabric in order)
    rows: list[list[Content]] = [
        [mark.letter, _swatch(mark.colour), name, str(counts[name])] for name, mark in shown.items()
    ]
    return table(("", "", "Fabric", "Blades sewn"), ([row] for row in rows))


def _swatch(colour: str) -> Element:
    square = svg(
        "rect", x="0.2", y="0.2", width="6.6", height="3.6", fill=colour, stroke=INK, stroke_width="0.25"
    )
    return svg("svg", square, viewBox="0 0 7 4", width="7mm", height="4mm", aria_hidden="true")
