"""The stage itself: machine files and folders in, a report out. Nothing is written."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path

from cutfiles.check.file import Checked, check_file
from cutfiles.check.folder import LAYOUT_NAME, Target, content_of, load_of, part_of, targets_of
from cutfiles.check.layout.layout import KnownLayout, read_layout
from cutfiles.check.layout_rules.layout_faults import layout_faults
from cutfiles.check.manifest import compare_manifest, is_known
from cutfiles.check.rules.formats import formats_differ
from cutfiles.core.errors import UnreadableError
from cutfiles.findings.codes import Code
from cutfiles.findings.collected import Collected
from cutfiles.findings.limits import MOST_LAYOUT_BYTES
from cutfiles.findings.report import Fault, Report
from cutfiles.formats.model.drawing import Layer


def check_paths(paths: Sequence[Path]) -> Report:
    """Return what is wrong with machine files.

    Args:
        paths: machine files, folders that hold some, or a folder's layout.json.

    Raises:
        UnreadableError: a path doesn't exist, is no machine file, or is a folder with nothing to check.

    How exact: distances between outlines are taken in closed form. A fault of 0.01 mm is found, and the
    rounding of files to four decimals is never taken for one.
    """
    told = Collected()
    for target in targets_of(paths):
        _check_folder(target, told)
    return told.report()


def _check_folder(target: Target, told: Collected) -> None:
    """The files of one folder: the layout, which files there are, each by itself, formats side by side."""
    layout = _layout(target, told) if target.has_layout else None
    if target.whole and layout is not None:
        compare_manifest(target, layout, told)
    checked: defaultdict[tuple[str, Layer | None], list[Checked]] = defaultdict(list)
    for name in target.names:
        if layout is not None and target.whole and not is_known(name, layout):
            continue
        file = check_file(target.folder / name, layout, told)
        if file is not None:
            checked[load_of(name), part_of(name)].append(file)
            told.pieces(target.folder, load_of(name), file.pieces)
    for (load, _), files in checked.items():
        # The cut lines of a known load were compared with the layout already.
        known = layout is not None and layout.home(load).load(load) is not None
        _compare_formats(files, [Layer.DRAW, Layer.REGISTER] if known else list(Layer), told)


def _compare_formats(files: Sequence[Checked], layers: Sequence[Layer], told: Collected) -> None:
    comparable = [(file.path, file.drawing) for file in files if file.drawing is not None]
    for path, drawing in comparable[1:]:
        first_path, first = comparable[0]
        told.faults(path, formats_differ(drawing, first, first_path.name, layers))


def _layout(target: Target, told: Collected) -> KnownLayout | None:
    path = target.folder / LAYOUT_NAME
    content = content_of(path, MOST_LAYOUT_BYTES)
    layout: KnownLayout | None = None
    faults: tuple[Fault, ...]
    if isinstance(content, Fault):
        faults = (content,)
    else:
        try:
            layout, faults = read_layout(content)
        except UnreadableError as error:
            faults = (Fault(Code.UNREADABLE, "", str(error)),)
    if target.whole:
        told.faults(path, [*faults, *(() if layout is None else _contradictions(layout))])
    elif layout is None:
        # Asked about one file, we report faults of that file only.
        told.note(path, f"{faults[0].place} {faults[0].says}")
    return layout


def _contradictions(layout: KnownLayout) -> Iterator[Fault]:
    yield from layout_faults(layout)
    if layout.templates is not None:
        yield from layout_faults(layout.templates)
