"""Fabric whose length or number of pieces is to be found: what can't be said of it, as it isn't there yet."""

from __future__ import annotations

from cutfiles.job.model.job import Share
from cutfiles.job.parse.section import Section, quoted
from cutfiles.job.schema.field import AS_NEEDED

_NOT_BESIDE = {
    "outline": "a scrap has a length of its own; leave length out",
    "avoid": "nobody knows where its flaws will lie; leave avoid out, and selvedges out of width",
    "repeat": "a motif needs a piece that is there; leave repeat out, or give a length",
    "pack": 'off the bolt there are no packs; leave pack out, or say how it is sold, like sold = "1/4 yd"',
}
_NOT_BESIDE_PIECES = {
    "outline": "scraps are found, not bought; say how many there are",
    "sold": "that is for lengths off the bolt; leave sold out, or say how many are in a pack, like pack = 42",
}


def is_as_needed(section: Section) -> bool:
    """Return whether the length of a `[[fabric]]` is to be found.

    Raises:
        JobError: it is, and another key contradicts that.
    """
    if section.raw.get("length") != AS_NEEDED:
        return False
    for key, why in _NOT_BESIDE.items():
        if key in section.raw:
            raise section.error(key, f'stands beside length = "{AS_NEEDED}", but {why}')
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
    for key, why in _NOT_BESIDE_PIECES.items():
        if key in section.raw:
            raise section.error(key, f'stands beside pieces = "{AS_NEEDED}", but {why}')
    _refuse_fill(section, f'pieces = "{AS_NEEDED}"')
    return True


def _refuse_fill(section: Section, beside: str) -> None:
    """Do nothing if no shape is to fill fabric that never ends."""
    cuts = section.raw.get("cuts")
    for shape, count in cuts.items() if isinstance(cuts, dict) else ():
        if count == Share.FILL.value:
            raise section.error(
                f"cuts.{shape}",
                f'{quoted(count)} never ends where {beside}; write a number or "rest"',
            )
