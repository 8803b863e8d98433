"""Files that a job names: drawings, pictures of cloth, notes on a machine; they go where the job goes."""

from __future__ import annotations

import re
import shutil
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any

from cutfiles.core.errors import JobError
from cutfiles.job.parse.tables import named
from cutfiles.job.schema import fields
from cutfiles.page.fields import document
from cutfiles.pieces.drawings.suffixes import SUFFIXES

PICTURES = (".png", ".jpg", ".jpeg", ".webp")
DRAWINGS = SUFFIXES
NOTES = (".toml",)
PICTURE = "picture"
# Of tables that come again: the keys that may name a file, and how it may end.
_IN_ROWS = {
    (fields.OUTLINE, "file"): DRAWINGS,
    (fields.FABRIC, "outline"): DRAWINGS,
    (fields.FABRIC, PICTURE): PICTURES,
}
# Notes on a machine are named in either of two places.
_MACHINE = (("job", "machine"), ("machine",))


@dataclass(frozen=True, slots=True)
class NamedFile:
    """A file as a job names it.

    Args:
        at: the place of the key.
        name: what is written there: a path from the job file's folder.
        where: the place as messages name it.
    """

    at: document.KeyPath
    name: str
    where: str

    @property
    def last(self) -> str:
        """The last part of the path, as any system writes it."""
        return self.name.replace("\\", "/").rpartition("/")[2]


def endings_of(path: document.KeyPath) -> tuple[str, ...]:
    """Return how a file may end that is named at a place; nothing where no file is named."""
    if path in _MACHINE:
        return NOTES
    rows = {(table.name, key): endings for (table, key), endings in _IN_ROWS.items()}
    return next((endings for names, endings in rows.items() if path[::2] == names), ())


def named_files(tables: Mapping[str, Any]) -> Iterator[NamedFile]:
    """All files that a job names, as far as its text can be read, in the same order each time."""
    for at in _MACHINE:
        if isinstance(name := document.at(tables, at), str):
            yield NamedFile(at, name, ".".join(at))
    for table, key in _IN_ROWS:
        entries = tables.get(table.name, [])
        if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
            continue
        for index, place in enumerate(named(table, entries)):
            if isinstance(name := entries[index].get(key), str):
                yield NamedFile((table.name, index, key), name, f"{place}.{key}")


def is_plain(name: str) -> bool:
    """Whether a name can't lead out of its folder, and is that of a drawing, a picture or notes."""
    kinds = (*DRAWINGS, *PICTURES, *NOTES)
    return name == Path(name).name and not set(name) & set("\\/:\0") and name.lower().endswith(kinds)


def stay_inside(tables: Mapping[str, Any]) -> None:
    """See to it that a job that came through the browser names no files but those that came with it.

    Raises:
        JobError: it names one in another folder.
    """
    for file in named_files(tables):
        if not is_plain(file.name):
            says = "is in another folder; give the name alone, and open the file with the job"
            raise JobError(file.where, says)


def as_given(text: str, names: Collection[str]) -> str:
    """Return a job's text that names files by their names alone, as far as they were given with it."""
    changes: list[tuple[document.KeyPath, document.Value | None]] = [
        (file.at, file.last)
        for file in named_files(document.tables_of(text))
        if file.last in names and file.name != file.last
    ]
    return document.with_values(text, changes) if changes else text


def keep(tables: Mapping[str, Any], folder: Path, into: Path) -> None:
    """Keep what a job names, as it is now, in a folder of its own.

    Raises:
        OSError: the disk refused.
    """
    into.mkdir()
    for number, file in enumerate(named_files(tables)):
        source = folder / file.name
        if source.is_file():  # a missing one is reported by the reader of jobs
            shutil.copyfile(source, into / str(number))


def packed_with(text: str, kept: Path, taken: Collection[str]) -> tuple[str, dict[str, bytes]]:
    """Return a job's text and the files that it names, as they are given away: it can be read where they lie.

    Paths stay as they are, unless they lead out of the folder, or something else has that name there.

    Args:
        text: of the job.
        kept: the folder in which `keep` put its files.
        taken: names of the other files there.
    """
    used = {name.casefold() for name in taken}
    names: dict[str, str] = {}
    contents: dict[str, bytes] = {}
    changes: list[tuple[document.KeyPath, document.Value | None]] = []
    for number, file in enumerate(named_files(document.tables_of(text))):
        source = kept / str(number)
        if not source.exists():
            continue
        if file.name not in names:
            name = _inside(file, used)
            used.add(name.casefold())
            names[file.name], contents[name] = name, source.read_bytes()
        if names[file.name] != file.name:
            changes.append((file.at, names[file.name]))
    return document.with_values(text, changes) if changes else text, contents


def free_name(label: str, ending: str, folder: Path) -> str:
    """Return a name for what is given for a fabric or a shape, such as `tide.jpg`, that no file there has."""
    stem = re.sub(r"[^a-z0-9]+", "-", label.lower()).strip("-")[:40] or "given"
    return _unlike(stem, ending, {path.name.casefold() for path in folder.iterdir()})


def _inside(file: NamedFile, used: Collection[str]) -> str:
    """A path within a folder for what is named by any path."""
    path = PurePosixPath(file.name)
    leads_out = path.is_absolute() or ".." in path.parts or set(file.name) & set("\\:")
    if not leads_out and str(path).casefold() not in used:
        return file.name
    last = PurePosixPath(file.last)
    return _unlike(last.stem, last.suffix, used)


def _unlike(stem: str, ending: str, used: Collection[str]) -> str:
    """A name that differs from others not by its capitals alone: some systems take those for the same."""
    number, name = 1, f"{stem}{ending}"
    while name.casefold() in used:
        number += 1
        name = f"{stem}-{number}{ending}"
    return name
