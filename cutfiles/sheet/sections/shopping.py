"""What to buy before anything is cut: a list to take to the shop."""

from __future__ import annotations

from cutfiles.core.words import listed
from cutfiles.job.model.job import Job
from cutfiles.nest.base.layout import Layout
from cutfiles.sheet.markup.markup import Content, Element, html, paragraph, section, table
from cutfiles.sheet.markup.words import of_shape
from cutfiles.shopping.shopping_list import shopping_list


def shopping_section(job: Job, layout: Layout) -> Element | None:
    """Return the shopping list; nothing if all fabric is there."""
    shopping = shopping_list(job, layout.tallies)
    if not shopping.items:
        return None
    rows: list[list[list[Content]]] = [
        [
            [
                html("span", html("span", class_="box"), item.fabric),
                item.words(job.unit),
                listed([of_shape(count, shape) for shape, count in item.gives]),
            ]
        ]
        for item in shopping.items
    ]
    parts: list[Content] = [table(("Fabric", "Buy", "For"), rows)]
    parts += [
        paragraph(f"{listed(packs.fabrics)} together: {packs.words()}.") for packs in shopping.mixed_packs
    ]
    parts.append(paragraph(f"In all: {shopping.total()}."))
    if any(not fabric.purchase.is_lossless for fabric in job.fabrics if fabric.is_open):
        parts.append(
            paragraph("What washing takes and the ends lose is in it, for fabrics of which the job says so.")
        )
    return section("Shopping list", *parts)
