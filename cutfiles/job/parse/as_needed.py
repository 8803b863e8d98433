"""Fabric whose length is to be found: what can't be said of it, as it isn't there yet."""

from __future__ import annotations

from cutfiles.job.model.job import Share
from cutfiles.job.parse.section import Section, quoted
from cutfiles.job.schema.field import AS_NEEDED

_NOT_BESIDE = {
    "outline": "a scrap has a length of its own; leave length out",
    "avoid": "nobody knows where its flaws will lie; leave avoid out, and selvedges out of width",
    "repeat": "a motif needs a piece that is there; leave repeat out, or give a length",
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
    pieces = section.sure_count("pieces")
    if pieces != 1:
        raise section.error(
            "pieces", f'{pieces} stands beside length = "{AS_NEEDED}", which is one piece; leave pieces out'
        )
    cuts = section.raw.get("cuts")
    for shape, count in cuts.items() if isinstance(cuts, dict) else ():
        if count == Share.FILL.value:
            raise section.error(
                f"cuts.{shape}",
                f'{quoted(count)} never ends where length = "{AS_NEEDED}"; write a number or "rest"',
            )
    return True
