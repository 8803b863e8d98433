"""How a fabric is bought, as its table says: shrinkage, ends, and in what steps it is sold."""

from __future__ import annotations

from cutfiles.core.units import SoldBy, sold_by
from cutfiles.job.model.purchase import Purchase
from cutfiles.job.parse.section import Section, quoted
from cutfiles.job.schema import fields

_NOT_BESIDE = ("outline", "avoid", "repeat")


def purchase_of(section: Section, names: tuple[str, ...]) -> Purchase:
    """Return how the fabric of a `[[fabric]]` is bought, or the fabrics of these names.

    Raises:
        JobError: a key of it is wrong, or stands beside sizes that can only be measured on the cloth itself.
    """
    for key in ("shrink", "ends"):
        for other in _NOT_BESIDE:
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
