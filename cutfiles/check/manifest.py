"""The files of a folder against those that its layout.json names: missing, left over, changed."""

from __future__ import annotations

import hashlib
from pathlib import Path

from cutfiles.check.folder import LAYOUT_NAME, Target, content_of, load_of, looks_ours
from cutfiles.check.layout.layout import KnownLayout
from cutfiles.findings.codes import Code
from cutfiles.findings.collected import Collected
from cutfiles.findings.report import Fault
from cutfiles.formats.registry import format_of, titles


def compare_manifest(target: Target, layout: KnownLayout, told: Collected) -> None:
    """Collect which files of a folder are missing, left over or changed; machine files aren't opened."""
    path = target.folder / LAYOUT_NAME
    if layout.sums is None:
        there = {load_of(name) for name in target.names}
        sheets = () if layout.templates is None else layout.templates.loads
        missing = [load.name for load in (*layout.loads, *sheets) if load.name not in there]
        words = "no machine file of this load is there"
        told.faults(path, (Fault(Code.MISSING_FILE, name, words) for name in missing))
        told.note(path, "gives no sums, so changes to the files can't be known")
    for name in sorted(layout.sums or {}):
        _look_for(target.folder / name, path, layout, told)
    for name in target.names:
        named = layout.sums is None or name in layout.sums
        if (is_known(name, layout) or looks_ours(name)) and not (named and is_known(name, layout)):
            words = "is not among the files of layout.json"
            told.faults(target.folder / name, [Fault(Code.EXTRA_FILE, "", words)])
        elif not is_known(name, layout):
            told.note(target.folder / name, "no file of layout.json, not checked")


def _look_for(file: Path, manifest: Path, layout: KnownLayout, told: Collected) -> None:
    """A file that layout.json names: there at all, and unchanged if it is of a kind that isn't read."""
    if not file.is_file():
        words = "is named in layout.json and isn't there"
        told.faults(manifest, [Fault(Code.MISSING_FILE, file.name, words)])
    elif format_of(file.name) is None:
        content = content_of(file)
        told.faults(file, [content] if isinstance(content, Fault) else changed(file.name, content, layout))
        if file.suffix.lower() != ".html":
            told.note(file, f"only its sum was checked, as it is none of {', '.join(titles())}")


def changed(name: str, content: bytes, layout: KnownLayout) -> list[Fault]:
    """Return a fault where a file isn't as it was written, by its sum."""
    known = (layout.sums or {}).get(name)
    if known is None or hashlib.sha256(content).hexdigest() == known.lower():
        return []
    return [Fault(Code.CHANGED_FILE, "", "is not as it was written, its sum differs")]


def is_known(name: str, layout: KnownLayout) -> bool:
    """Return whether a file belongs to a layout: by its load, or because it is named there."""
    load = load_of(name)
    return layout.home(load).load(load) is not None or name in (layout.sums or {})
