"""The stage itself: machine files and folders in, a report out. Nothing is written."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from cutfiles.check.folder import (
    CALIBRATION,
    LAYOUT_NAME,
    Target,
    content_of,
    load_of,
    looks_ours,
    part_of,
    targets_of,
)
from cutfiles.check.layout.layout import KnownLayout, read_layout
from cutfiles.check.rules.calibration import measure_calibration
from cutfiles.check.rules.formats import formats_differ
from cutfiles.check.rules.layout_faults import layout_faults
from cutfiles.check.rules.measure import NO_SIZE, Measured, measure
from cutfiles.check.rules.parts import astray, measure_drawn
from cutfiles.check.tool.as_meant import as_meant
from cutfiles.core.errors import UnreadableError
from cutfiles.findings.codes import Code
from cutfiles.findings.limits import MOST_LAYOUT_BYTES, TooMuchError
from cutfiles.findings.report import Fault, Finding, Report, in_order, plain
from cutfiles.formats.model.drawing import Layer
from cutfiles.formats.registry import format_of, titles

# A file that is wrong all over needn't say so a thousand times.
_MOST_OF_A_KIND = 200


def check_paths(paths: Sequence[Path]) -> Report:
    """Return what is wrong with machine files.

    Args:
        paths: machine files (.svg, .dxf, .plt), PDFs, folders that hold some, or a folder's layout.json.

    Raises:
        UnreadableError: a path doesn't exist, is no machine file, or is a folder with nothing to check.

    How exact: distances between outlines are taken in closed form. A fault of 0.01 mm is found, and the
    rounding of files to four decimals is never taken for one.
    """
    run = _Run()
    for target in targets_of(paths):
        run.check(target)
    notes = tuple(dict.fromkeys(plain(note) for note in run.notes))
    return Report(in_order(run.findings), notes, run.files, sum(run.pieces.values()))


@dataclass(slots=True)
class _Run:
    """Collects what the files give."""

    findings: list[Finding] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    files: int = 0
    pieces: Counter[tuple[Path, str]] = field(default_factory=Counter)  # by folder and load

    def check(self, target: Target) -> None:
        """Check the files of one folder, against its layout if it has one."""
        layout = self._layout(target) if target.has_layout else None
        if target.whole and layout is not None:
            self._company(target, layout)
        measured: dict[tuple[str, Layer | None], list[tuple[str, Measured]]] = {}
        for name in target.names:
            load = load_of(name)
            if layout is not None and target.whole and not _known(name, layout):
                continue
            result = self._file(target.folder / name, layout)
            if result is not None:
                measured.setdefault((load, part_of(name)), []).append((name, result))
                # A load that comes in several formats counts once.
                key = (target.folder, load)
                self.pieces[key] = max(self.pieces[key], result.pieces)
        for (load, _), files in measured.items():
            # The cut lines of a known load were compared with the layout already.
            known = layout is not None and layout.home(load).load(load) is not None
            self._compare(target.folder, files, [Layer.DRAW, Layer.REGISTER] if known else list(Layer))

    def _layout(self, target: Target) -> KnownLayout | None:
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
            self._say(path, [*faults, *(() if layout is None else _all_faults(layout))])
        elif layout is None:
            # Asked about one file, we report faults of that file only.
            self.notes.append(f"{path}: {faults[0].place} {faults[0].says}")
        return layout

    def _company(self, target: Target, layout: KnownLayout) -> None:
        """Files that should be there and aren't, shouldn't and are, or were changed."""
        path = target.folder / LAYOUT_NAME
        if layout.sums is None:
            there = {load_of(name) for name in target.names}
            sheets = () if layout.templates is None else layout.templates.loads
            missing = [load.name for load in (*layout.loads, *sheets) if load.name not in there]
            words = "no machine file of this load is there"
            self._say(path, (Fault(Code.MISSING_FILE, name, words) for name in missing))
            self.notes.append(f"{path}: gives no sums, so changes to the files can't be known")
        for name in sorted(layout.sums or {}):
            file = target.folder / name
            if not file.is_file():
                self._say(path, [Fault(Code.MISSING_FILE, name, "is named in layout.json and isn't there")])
            elif format_of(name) is None:
                self._sum(file, layout)
                if file.suffix.lower() != ".html":
                    self.notes.append(
                        f"{file}: only its sum was checked, as it is none of {', '.join(titles())}"
                    )
        for name in target.names:
            named = layout.sums is None or name in layout.sums
            if (_known(name, layout) or looks_ours(name)) and not (named and _known(name, layout)):
                words = "is not among the files of layout.json"
                self._say(target.folder / name, [Fault(Code.EXTRA_FILE, "", words)])
            elif not _known(name, layout):
                self.notes.append(f"{target.folder / name}: no file of layout.json, not checked")

    def _sum(self, path: Path, layout: KnownLayout, content: bytes | None = None) -> None:
        known = (layout.sums or {}).get(path.name)
        if known is None:
            return
        found = content_of(path) if content is None else content
        if isinstance(found, Fault):
            self._say(path, [found])
        elif hashlib.sha256(found).hexdigest() != known.lower():
            self._say(path, [Fault(Code.CHANGED_FILE, "", "is not as it was written, its sum differs")])

    def _file(self, path: Path, layout: KnownLayout | None) -> Measured | None:
        """Read and measure one machine file; None where it can't be read."""
        self.files += 1
        kind = format_of(path.name)
        assert kind is not None, "only machine files are asked for"
        content = content_of(path)
        if isinstance(content, Fault):
            self._say(path, [content])
            return None
        if layout is not None:
            self._sum(path, layout, content)
        try:
            names = layout.names if layout is not None and _known(path.name, layout) else {}
            reading = kind.read(content, layers=names)
        except TooMuchError as error:
            self._say(path, [Fault(Code.TOO_MUCH, "", f"{error}: nothing was measured")])
            return None
        except UnreadableError as error:
            self._say(path, [Fault(Code.UNREADABLE, "", str(error))])
            return None
        layout = None if layout is None else layout.home(load_of(path.name))
        load = None if layout is None else layout.load(load_of(path.name))
        drawn = reading.drawing
        if layout is not None and _known(path.name, layout):
            reading = replace(reading, drawing=as_meant(drawn, layout.correction))
        part = part_of(path.name)
        if load is None and load_of(path.name) == CALIBRATION:
            result = measure_calibration(reading)
        else:
            result = (measure_drawn if part is Layer.DRAW else measure)(reading, layout, load)
        self._say(path, [*result.faults, *astray(result.drawing or drawn, part)])
        self.notes += [f"{path}: {note}" for note in result.notes]
        # Two formats are compared as they are: chords in place of arcs need not be the same number.
        as_others = drawn.kind.for_machine or layout is None or layout.correction.is_none
        return replace(result, drawing=drawn if as_others and result.drawing is not None else None)

    def _compare(self, folder: Path, files: list[tuple[str, Measured]], layers: list[Layer]) -> None:
        sound = [
            (name, one.drawing)
            for name, one in files
            if one.drawing is not None and not any(fault.code in NO_SIZE for fault in one.faults)
        ]
        for name, drawing in sound[1:]:
            self._say(folder / name, formats_differ(drawing, sound[0][1], sound[0][0], layers))

    def _say(self, path: Path, faults: Iterable[Fault]) -> None:
        counts: Counter[Code] = Counter()
        for fault in faults:
            counts[fault.code] += 1
            if counts[fault.code] <= _MOST_OF_A_KIND:
                where = (plain(str(path)), plain(fault.place))
                self.findings.append(Finding(fault.code.value, *where, plain(fault.says)))
        for code, count in counts.items():
            if count > _MOST_OF_A_KIND:
                words = f"and {count - _MOST_OF_A_KIND} more of the kind"
                self.findings.append(Finding(code.value, plain(str(path)), "", words))


def _all_faults(layout: KnownLayout) -> Iterator[Fault]:
    yield from layout_faults(layout)
    if layout.templates is not None:
        yield from layout_faults(layout.templates)


def _known(name: str, layout: KnownLayout) -> bool:
    """Whether a file belongs to a layout: by its load, or because it is named there."""
    load = load_of(name)
    return layout.home(load).load(load) is not None or name in (layout.sums or {})
