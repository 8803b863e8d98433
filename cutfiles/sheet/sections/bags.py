"""A list for each kit's bag, to print and cut apart."""

from __future__ import annotations

from collections import defaultdict

from cutfiles.core.words import counted, listed
from cutfiles.formats.model.tool import Drawn
from cutfiles.job.model.job import Job
from cutfiles.job.model.needs import needs
from cutfiles.nest.base.layout import Layout, Placement
from cutfiles.plate.finished import is_ring
from cutfiles.plate.plate import Plate
from cutfiles.sheet.markup.markup import Element, bullets, html, paragraph, section
from cutfiles.sheet.markup.words import of_shape
from cutfiles.sheet.pictures.cloth import pieces_of


def bags_section(job: Job, plate: Plate, layout: Layout) -> Element | None:
    """Return the lists; None where the job makes no kits, or nobody knows whose blades are whose."""
    if job.kits == 1 or not layout.plates:
        return None
    inside: dict[int, dict[tuple[str, str], list[Placement]]] = defaultdict(lambda: defaultdict(list))
    for laid, placement in pieces_of(layout):
        inside[placement.bag][placement.shape, laid.fabric].append(placement)
    lists = [_bag(number, job, plate, inside[number]) for number in range(1, job.kits + 1)]
    labelled = not job.by_hand and Drawn.LABEL in job.machine.draw
    where = (
        "Labels say which bag a piece goes into." if labelled else "Pieces have no labels: count them out."
    )
    return section(
        "Bags",
        paragraph(
            f"For {counted(job.kits, 'kit')}, each in a bag of its own. {where} "
            "Cut the lists apart and put one into each bag; tick off what is in it."
        ),
        html("div", *lists, class_="bags"),
    )


def _bag(number: int, job: Job, plate: Plate, inside: dict[tuple[str, str], list[Placement]]) -> Element:
    per_kit = plate.count // job.kits
    first, last = (number - 1) * per_kit + 1, number * per_kit
    what = "plate" if is_ring(plate) else "fan"
    plates = f"{what} {first}" if per_kit == 1 else f"{what}s {first} to {last}"
    entries = []
    for shape, of_all in needs(job):
        needed = of_all // job.kits
        of_fabrics = [
            f"{len(pieces)} {fabric} ({', '.join(_places(pieces))})"
            for (of, fabric), pieces in inside.items()
            if of == shape
        ]
        by_hand = needed - sum(len(pieces) for (of, _), pieces in inside.items() if of == shape)
        if by_hand > 0:
            of_fabrics.append(f"{by_hand} cut by hand")
        entries.append(
            html("span", html("span", class_="box"), f"{of_shape(needed, shape)}: {listed(of_fabrics)}")
        )
    title = f"{job.title}: " if job.title else ""
    return html(
        "div", html("h3", f"{title}bag {number} of {job.kits}, {plates}"), bullets(entries), class_="bag"
    )


def _places(pieces: list[Placement]) -> list[str]:
    return [
        piece.short_label
        for piece in sorted(pieces, key=lambda piece: (piece.plate, piece.place, piece.number))
    ]
