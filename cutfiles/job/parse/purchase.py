"""How a fabric is bought, as its table says: shrinkage, ends, how it is sold, and what is to be found."""

from __future__ import annotations

from collections.abc import Mapping

from cutfiles.core.units import SoldBy, sold_by
from cutfiles.job.model.job import Share
from cutfiles.job.model.purchase import Purchase
from cutfiles.job.parse.section import Section, quoted
from cutfiles.job.schema import fields
from cutfiles.job.schema.field import AS_NEEDED

_MEASURED_ON_CLOTH = ("outline", "avoid", "repeat")
_NOT_BESIDE_LENGTH = {
    "outline": "a scrap has a length of its own; leave length out",
    "avoid": "nobody knows where its flaws will lie; leave avoid out, and selvedges out of width",
    "repeat": "a motif needs a piece that is there; leave repeat out, or give a length",
    "pack": 'off the bolt there are no packs; leave pack out, or say how it is sold, like sold = "1/4 yd"',
}
_NOT_BESIDE_PIECES = {
    "outline": "scraps are found, not bought; say how many there are",
    "sold": "that is for lengths off the bolt; leave sold out, or say how many are in a pack, like pack = 42",
}


def purchase_of(section: Section, names: tuple[str, ...]) -> Purchase:
    """Return how the fabric of a `[[fabric]]` is bought, or the fabrics of these names.

    Raises:
        JobError: a key of it is wrong, or stands beside sizes that can only be measured on the cloth itself.
    """
    for key in ("shrink", "ends"):
        for other in _MEASURED_ON_CLOTH:
            if key in section.raw and other in section.raw:
                raise section.error(
                    key,
                    f"stands beside {other}, which is measured on the cloth as it is cut; give all its sizes "
                    f"as they are then, and leave {key} out",
                )
    width, length = _shrink(section)
    pack = section.count("pack")
    return Purchase(
        width,
        length,
        section.sure_length("ends"),
        _sold(section),
        pack,
        () if pack is None else names,
        section.sure_count("spare"),
    )


def _shrink(section: Section) -> tuple[float, float]:
    _, value = section.value("shrink")
    if value is None:
        return 0.0, 0.0
    if not isinstance(value, dict):
        raise section.error(
            "shrink", f"{quoted(value)} is not a table; write {{ width = 2, length = 3 }}, in per cent"
        )
    table = Section(f"{section.where}.shrink", fields.SHRINK, value, section.unit)
    return table.number("width") / 100, table.number("length") / 100


def _sold(section: Section) -> SoldBy | None:
    mm = section.length("sold")
    return None if mm is None else sold_by(mm, section.raw["sold"], section.unit)


def is_as_needed(section: Section) -> bool:
    """Return whether the length of a `[[fabric]]` is to be found.

    Raises:
        JobError: it is, and another key contradicts that.
    """
    if section.raw.get("length") != AS_NEEDED:
        return False
    _refuse_keys(section, _NOT_BESIDE_LENGTH, beside=f'length = "{AS_NEEDED}"')
    pieces = section.raw.get("pieces", 1)
    if pieces == AS_NEEDED:
        raise section.error(
            "pieces",
            f'stands beside length = "{AS_NEEDED}", which is one piece; leave one of the two as needed',
        )
    if section.sure_count("pieces") != 1:
        raise section.error(
            "pieces", f'{pieces} stands beside length = "{AS_NEEDED}", which is one piece; leave pieces out'
        )
    _refuse_fill(section, f'length = "{AS_NEEDED}"')
    return True


def are_pieces_as_needed(section: Section) -> bool:
    """Return whether the number of pieces of a `[[fabric]]` is to be found.

    Raises:
        JobError: it is, and another key contradicts that.
    """
    if section.raw.get("pieces") != AS_NEEDED:
        return False
    _refuse_keys(section, _NOT_BESIDE_PIECES, beside=f'pieces = "{AS_NEEDED}"')
    _refuse_fill(section, f'pieces = "{AS_NEEDED}"')
    return True


def _refuse_keys(section: Section, reasons: Mapping[str, str], *, beside: str) -> None:
    """Do nothing if none of the keys is there that contradict what is as needed."""
    for key, why in reasons.items():
        if key in section.raw:
            raise section.error(key, f"stands beside {beside}, but {why}")


def _refuse_fill(section: Section, beside: str) -> None:
    """Do nothing if no shape is to fill fabric that never ends."""
    cuts = section.raw.get("cuts")
    for shape, count in cuts.items() if isinstance(cuts, dict) else ():
        if count == Share.FILL.value:
            raise section.error(
                f"cuts.{shape}",
                f'{quoted(count)} never ends where {beside}; write a number or "rest"',
            )
