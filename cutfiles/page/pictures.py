"""Pictures that answer at once: the plate in its fabrics, as far as can be known unlaid; the blade."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from cutfiles.job.model.blade_shapes import BLADE
from cutfiles.job.model.job import FabricSpec, Job, Share
from cutfiles.job.model.needs import BACKGROUND, CENTRE
from cutfiles.pipeline import Sized
from cutfiles.plate.finished import is_ring
from cutfiles.plate.order import repeated, spread

if TYPE_CHECKING:
    from cutfiles.sheet.pictures.cloth import Fill
    from cutfiles.sheet.pictures.plate import PlateFills


def plate_svg(sized: Sized) -> str:
    """Return the finished plate with its measures, each blade in the colour of a fabric that may give it."""
    from lxml import etree  # noqa: PLC0415

    from cutfiles.sheet.pictures.plate import Sizes, plate_drawing  # noqa: PLC0415

    # The other sizes stand in words beside it: so the plate is as large as can be.
    drawing = plate_drawing(sized.plate, sized.job.unit, _colours(sized), sizes=Sizes.ACROSS)
    return etree.tostring(drawing, encoding="unicode")


def blade_svg(sized: Sized) -> str:
    """Return the blade as it is cut, with its seams, its fold and its measures."""
    from lxml import etree  # noqa: PLC0415

    from cutfiles.sheet.pictures.blade import blade_drawing  # noqa: PLC0415

    return etree.tostring(blade_drawing(sized.plate.blade, sized.job.unit), encoding="unicode")


def swatches(job: Job) -> Mapping[str, str]:
    """Return the colour of each fabric, as every picture has it."""
    from cutfiles.sheet.markup.colours import fabric_colours  # noqa: PLC0415

    return fabric_colours(job.fabrics)


def _colours(sized: Sized) -> PlateFills | None:
    from cutfiles.sheet.pictures.cloth import Fill  # noqa: PLC0415
    from cutfiles.sheet.pictures.plate import PlateFills  # noqa: PLC0415

    job, colours = sized.job, swatches(sized.job)
    shares = _first_plate(job.fabrics, sized.plate.sewn)
    if job.plate.order:
        order = repeated(job.plate.order, sized.plate.sewn)
    elif shares:
        order = spread(shares, 1, ring=is_ring(sized.plate))[0]
    else:
        return None
    return PlateFills(
        tuple(Fill(colours[name]) for name in order),
        _giver(job, CENTRE, colours),
        _giver(job, BACKGROUND, colours),
    )


def _giver(job: Job, shape: str, colours: Mapping[str, str]) -> Fill | None:
    from cutfiles.sheet.pictures.cloth import Fill  # noqa: PLC0415

    return next((Fill(colours[fabric.name]) for fabric in job.fabrics if shape in dict(fabric.cuts)), None)


def _first_plate(fabrics: tuple[FabricSpec, ...], places: int) -> dict[str, int]:
    """How many blades of one plate each fabric may give: by its cloth, as only a search could tell better."""
    weights = {
        fabric.name: _weight(fabric, dict(fabric.cuts)[BLADE])
        for fabric in fabrics
        if BLADE in dict(fabric.cuts)
    }
    total = sum(weights.values())
    if not total:
        return {}
    exact = {name: places * weight / total for name, weight in weights.items()}
    counts = {name: int(share) for name, share in exact.items()}
    # What rounding down left over goes to those who lost most by it.
    nearest = sorted(exact, key=lambda name: counts[name] - exact[name])
    for name in nearest[: places - sum(counts.values())]:
        counts[name] += 1
    return {name: count for name, count in counts.items() if count}


def _weight(fabric: FabricSpec, count: int | Share) -> float:
    area = fabric.width_mm * fabric.length_mm
    pieces = 1 if fabric.pieces_as_needed or fabric.as_needed else fabric.pieces
    # A blade with what is lost around it takes some 50 cm² of cloth; a wish for a few weighs no more.
    return area * pieces if isinstance(count, Share) else min(area * pieces, count * 5000.0)
