"""Pictures that answer at once: the plate in its fabrics, as far as can be known unlaid; the blade."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import TYPE_CHECKING

from cutfiles.geometry.pose import Pose
from cutfiles.job.model.job import FabricSpec, Job, Share
from cutfiles.job.model.needs import BACKGROUND, CENTRE
from cutfiles.pipeline import Sized
from cutfiles.plate.finished import is_ring
from cutfiles.plate.order import Order, repeated, spread, spread_in_turn

if TYPE_CHECKING:
    from cutfiles.sheet.pictures.cloth import Cloths, Fill
    from cutfiles.sheet.pictures.cloth_picture import ClothPicture
    from cutfiles.sheet.pictures.plate import PlateFills


def plate_svg(sized: Sized, pictures: Mapping[str, ClothPicture]) -> str:
    """Return the finished plate with its measures, each blade in the look of a fabric that may give it."""
    from lxml import etree  # noqa: PLC0415

    from cutfiles.sheet.pictures.plate import Sizes, plate_drawing  # noqa: PLC0415

    # The other sizes stand in words beside it: so the plate is as large as can be.
    fills = _fills(sized, pictures)
    drawing = plate_drawing(sized.plate, sized.job.unit, fills, sizes=Sizes.ACROSS)
    return etree.tostring(drawing, encoding="unicode")


def definitions_svg(job: Job, pictures: Mapping[str, ClothPicture]) -> str:
    """Return what all pictures of cloth on the page refer to; empty where there is none."""
    from lxml import etree  # noqa: PLC0415

    from cutfiles.sheet.pictures.cloth import Cloths  # noqa: PLC0415

    # The page allows no style inside an element.
    definitions = Cloths.of_job(job, pictures).definitions(hidden_by="unseen")
    return "" if definitions is None else etree.tostring(definitions, encoding="unicode")


def blade_svg(sized: Sized) -> str:
    """Return the blade as it is cut, with its seams, its fold and its measures."""
    from lxml import etree  # noqa: PLC0415

    from cutfiles.sheet.pictures.blade import blade_drawing  # noqa: PLC0415

    return etree.tostring(blade_drawing(sized.plate.blade, sized.job.unit), encoding="unicode")


def swatches(job: Job) -> Mapping[str, str]:
    """Return the colour of each fabric, as every picture has it."""
    from cutfiles.sheet.markup.colours import fabric_colours  # noqa: PLC0415

    return fabric_colours(job.fabrics)


def order_of(sized: Sized) -> tuple[str, ...]:
    """Return the fabric of each blade, or band, of the first plate in the order of sewing.

    As far as can be known unlaid; empty where nobody knows.
    """
    job, plate = sized.job, sized.plate
    if job.plate.order:
        return repeated(job.plate.order, plate.sewn)
    shares = [
        tuple(_first_plate(job, len(shape.places(plate.sewn)), shape.name).items()) for shape in plate.shapes
    ]
    if not all(shares):
        return ()
    ring = is_ring(plate)
    if plate.second:
        long, short = shares
        return _spread_in_turn(long, short, ring=ring)
    bands = [_spread(each, ring=ring) for each in shares]
    return tuple(name for blade in zip(*bands, strict=True) for name in blade)


# Most of what a person changes leaves the order of a plate as it was.
@lru_cache(maxsize=64)
def _spread(shares: tuple[tuple[str, int], ...], *, ring: bool) -> Order:
    return spread(dict(shares), 1, ring=ring)[0]


@lru_cache(maxsize=64)
def _spread_in_turn(
    long: tuple[tuple[str, int], ...], short: tuple[tuple[str, int], ...], *, ring: bool
) -> Order:
    return spread_in_turn(dict(long), dict(short), 1, ring=ring)[0]


def _fills(sized: Sized, pictures: Mapping[str, ClothPicture]) -> PlateFills | None:
    from cutfiles.sheet.pictures.cloth import Cloths  # noqa: PLC0415
    from cutfiles.sheet.pictures.plate import PlateFills  # noqa: PLC0415

    job, order = sized.job, order_of(sized)
    if not order:
        return None
    cloths = Cloths.of_job(job, pictures)
    return PlateFills(
        tuple(_fill(cloths, name) for name in order),
        _giver(job, CENTRE, cloths),
        _giver(job, BACKGROUND, cloths),
    )


def _fill(cloths: Cloths, name: str) -> Fill:
    """The look of a piece: of a print that repeats the motif, of others any place, as only a layout tells."""
    from cutfiles.sheet.pictures.cloth import Fill  # noqa: PLC0415

    if name not in cloths.pictures:
        return Fill(cloths.colours[name])
    repeat = cloths.fabrics[name].repeat
    x, y = repeat.motif if repeat else (0.0, 0.0)
    return Fill(cloths.paint(name), Pose(-x, -y))


def _giver(job: Job, shape: str, cloths: Cloths) -> Fill | None:
    return next((_fill(cloths, fabric.name) for fabric in job.fabrics if shape in dict(fabric.cuts)), None)


def _first_plate(job: Job, places: int, shape: str) -> dict[str, int]:
    """How many blades of one plate each fabric may give.

    Of a number that is asked for, each plate has its share; what is then left goes by the cloth, as only a
    search could tell better.
    """
    asked_of = [(fabric, count) for fabric in job.fabrics for name, count in fabric.cuts if name == shape]
    exact = {f.name: count / job.plate.count for f, count in asked_of if not isinstance(count, Share)}
    areas = {f.name: _area(f) for f, count in asked_of if isinstance(count, Share)}
    asked, cloth = sum(exact.values()), sum(areas.values())
    if asked > places or (asked and not cloth):
        exact = {name: share * places / asked for name, share in exact.items()}
    elif cloth:
        exact |= {name: (places - asked) * area / cloth for name, area in areas.items()}
    if not exact:
        return {}
    counts = {name: int(share) for name, share in exact.items()}
    # What rounding down left over goes to those who lost most by it.
    nearest = sorted(exact, key=lambda name: counts[name] - exact[name])
    for name in nearest[: places - sum(counts.values())]:
        counts[name] += 1
    return {name: count for name, count in counts.items() if count}


def _area(fabric: FabricSpec) -> float:
    pieces = 1 if fabric.pieces_as_needed or fabric.as_needed else fabric.pieces
    return fabric.width_mm * fabric.length_mm * pieces
