"""What is read of the job's text: tables, plate, pictures of cloth; or what is wrong with it."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from cutfiles.core.errors import CutfilesError, JobError
from cutfiles.job.model.job import FabricSpec, Job
from cutfiles.job.parse.read import parse_job
from cutfiles.page.fields import document
from cutfiles.page.fields.named_files import stay_inside
from cutfiles.pipeline import Sized, size
from cutfiles.sheet.pictures.cloth_picture import ClothPicture, cloth_pictures


@dataclass(frozen=True, slots=True)
class Seen:
    """A job's text as far as it can be read."""

    text: str
    tables: Mapping[str, Any]
    sized: Sized | None
    problem: CutfilesError | None
    pictures: Mapping[str, ClothPicture] = field(default_factory=dict)  # by the fabric's name


def names_of(entry: object) -> tuple[object, ...]:
    """Return the names of the fabrics that share a table."""
    if not isinstance(entry, dict):
        return ()
    names = entry.get("names")
    return tuple(names) if isinstance(names, list) else (entry.get("name"),)


def fabric_at(seen: Seen, index: int) -> FabricSpec | None:
    """Return the fabric that a table stands for, of several the first; None where nothing is read of it."""
    entry = document.at(seen.tables, ("fabric", index))
    if seen.sized is None or not isinstance(entry, dict):
        return None
    name = names_of(entry)[:1]
    return next((fabric for fabric in seen.sized.job.fabrics if fabric.name in name), None)


@dataclass(slots=True)
class JobReader:
    """Reads the text of a job as often as it changes; pictures of cloth are decoded once."""

    _known: tuple[object, dict[str, ClothPicture]] = ((), {})  # of what files, and what they show

    def read(self, text: str, folder: Path, *, stays_inside: bool) -> Seen:
        """Return what a text holds.

        Args:
            text: of a job.
            folder: where paths in it begin.
            stays_inside: whether it may name files of that folder alone.
        """
        tables = document.tables_of(text)
        try:
            if stays_inside:
                stay_inside(tables)
            sized = size(parse_job(text, folder=folder))
        except CutfilesError as error:
            return Seen(text, tables, None, error)
        try:
            return Seen(text, tables, sized, None, self._pictures(sized.job))
        except JobError as error:
            return Seen(text, tables, sized, error)

    def _pictures(self, job: Job) -> Mapping[str, ClothPicture]:
        """The pictures of a job's cloth, decoded again only where a file or a width is another."""
        named = [(fabric.name, fabric.picture, fabric.picture_width_mm) for fabric in job.fabrics]
        key = [(*of_fabric, _stamp(of_fabric[1])) for of_fabric in named]
        if self._known[0] != key:
            pictures = cloth_pictures(job)
            addresses = {name: f"/cloth/{number}" for number, (name, _, _) in enumerate(named)}
            self._known = (
                key,
                {
                    name: replace(picture, address=f"{addresses[name]}?{_stamp_text(key)}")
                    for name, picture in pictures.items()
                },
            )
        return self._known[1]


def _stamp(path: Path | None) -> object:
    """What tells a file from what it was before."""
    if path is None or not path.exists():
        return None
    status = path.stat()
    return status.st_mtime_ns, status.st_size


def _stamp_text(key: object) -> str:
    """The same as part of an address, so that a browser asks again for a picture that is another."""
    return hashlib.sha256(repr(key).encode()).hexdigest()[:12]
