"""Which files are meant by the paths a user gives, and their bytes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from cutfiles.core.errors import UnreadableError
from cutfiles.findings.codes import Code
from cutfiles.findings.limits import MOST_BYTES
from cutfiles.findings.report import Fault
from cutfiles.formats.model.drawing import Layer
from cutfiles.formats.registry import format_of, main_formats, stem_of, titles

LAYOUT_NAME = "layout.json"
CALIBRATION = "calibration"
_OURS = re.compile(rf"load-[0-9]+(-(draw|cut))?|template-[0-9]+|{CALIBRATION}")
_PART = re.compile(r"(load-[0-9]+)-(draw|cut)")


@dataclass(frozen=True, slots=True)
class Target:
    """What is asked about one folder.

    Args:
        folder: where the files lie, as the user wrote it.
        names: machine files in it, in order.
        whole: everything in the folder was asked about, not single files.
        has_layout: a layout.json lies there.
    """

    folder: Path
    names: tuple[str, ...]
    whole: bool
    has_layout: bool


def targets_of(paths: Sequence[Path]) -> tuple[Target, ...]:
    """Return what to check, folder by folder in the order given.

    Raises:
        UnreadableError: a path doesn't exist, is no machine file, or is a folder with nothing to check.
    """
    asked: dict[Path, set[str] | None] = {}  # None: the whole folder
    for path in paths:
        if path.is_dir():
            asked[path] = None
        elif not path.is_file():
            raise UnreadableError(f"{path}: is neither a file nor a folder; give machine files or a folder")
        elif path.name == LAYOUT_NAME:
            asked[path.parent] = None
        elif format_of(path.name) is None:
            raise UnreadableError(f"{path}: can't be checked; {', '.join(titles())} and folders of them can")
        else:
            names = asked.setdefault(path.parent, set())
            if names is not None:
                names.add(path.name)
    return tuple(_target(folder, names) for folder, names in asked.items())


def _target(folder: Path, names: set[str] | None) -> Target:
    has_layout = (folder / LAYOUT_NAME).is_file()
    if names is not None:
        return Target(folder, tuple(sorted(names)), whole=False, has_layout=has_layout)
    try:
        file_names = sorted(entry.name for entry in folder.iterdir() if entry.is_file())
    except OSError as error:
        raise UnreadableError(f"{folder}: can't be read ({error.strerror})") from None
    machine = tuple(name for name in file_names if format_of(name) is not None)
    if not machine and not has_layout:
        *most, last = (file_format.suffix for file_format in main_formats())
        raise UnreadableError(
            f"{folder}: nothing to check, no {', '.join(most)} or {last} and no {LAYOUT_NAME} lies there"
        )
    return Target(folder, machine, whole=True, has_layout=has_layout)


def load_of(name: str) -> str:
    """Return the load of a machine file's name: of `load-01` are `load-01.r12.dxf` and `load-01-cut.svg`."""
    stem = stem_of(name)
    part = _PART.fullmatch(stem)
    return part[1] if part else stem


def part_of(name: str) -> Layer | None:
    """Return DRAW or CUT for a file that holds only that part of its load, None for a whole one."""
    part = _PART.fullmatch(stem_of(name))
    return Layer(part[2]) if part else None


def looks_ours(name: str) -> bool:
    """Return whether a file is named as `make` names machine files."""
    kind = format_of(name)
    return kind is not None and name.endswith(kind.suffix) and bool(_OURS.fullmatch(stem_of(name)))


def content_of(path: Path, most: int | None = None) -> bytes | Fault:
    """Return a file's bytes, or the fault that keeps us from reading it.

    Args:
        path: the file.
        most: how many bytes it may have, if not as many as a machine file.
    """
    limit = MOST_BYTES if most is None else most
    try:
        size = path.stat().st_size
        if size > limit:
            return Fault(Code.TOO_LARGE, "", f"{size / 1e6:.0f} MB, above {limit / 1e6:.0f} MB: not read")
        return path.read_bytes()
    except OSError as error:
        return Fault(Code.UNREADABLE, "", f"can't be read ({error.strerror})")
