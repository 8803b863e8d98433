"""What the page works on: the text of a job, all there is to know of it, and the latest laying out."""

from __future__ import annotations

import hashlib
import secrets
import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from cutfiles.core.errors import CutfilesError, DiskError, GeometryError, JobError
from cutfiles.core.units import Unit, length_mm, shown, sides_shown
from cutfiles.geometry.outline import bounds
from cutfiles.job.model.job import FabricSpec, Job
from cutfiles.job.parse.read import parse_job
from cutfiles.job.starter import starter
from cutfiles.page.cloth import ScaleMarks, in_first_repeat, made_anew, width_from_marks
from cutfiles.page.fields import document
from cutfiles.page.fields.blocks import with_block
from cutfiles.page.fields.entry import field_at, value_of
from cutfiles.page.fields.named_files import (
    DRAWINGS,
    PICTURES,
    as_given,
    endings_of,
    free_name,
    is_plain,
    keep,
    packed_with,
    stay_inside,
)
from cutfiles.page.fields.step import unit_of
from cutfiles.page.files import MOST_TEXT, decoded, job_among, write_beside, zip_of
from cutfiles.page.pictures import order_of
from cutfiles.page.processes.question import Enquiry
from cutfiles.page.processes.run import LayoutRun
from cutfiles.pipeline import Sized, size
from cutfiles.sheet.pictures.cloth_picture import ClothPicture, cloth_pictures

_MOST_FABRICS = 200  # tables that the page shows
GIVEN = "given"  # the folder of a run with what the job names


@dataclass(frozen=True, slots=True)
class Seen:
    """A job's text as far as it can be read."""

    text: str
    tables: Mapping[str, Any]
    sized: Sized | None
    problem: CutfilesError | None
    pictures: Mapping[str, ClothPicture] = field(default_factory=dict)  # by the fabric's name


def _names_of(entry: object) -> tuple[object, ...]:
    if not isinstance(entry, dict):
        return ()
    names = entry.get("names")
    return tuple(names) if isinstance(names, list) else (entry.get("name"),)


def fabric_at(seen: Seen, index: int) -> FabricSpec | None:
    """Return the fabric that a table stands for, of several the first; None where nothing is read of it."""
    entry = document.at(seen.tables, ("fabric", index))
    if seen.sized is None or not isinstance(entry, dict):
        return None
    name = _names_of(entry)[:1]
    return next((fabric for fabric in seen.sized.job.fabrics if fabric.name in name), None)


@dataclass(slots=True)
class Desk:
    """The state of one start of the page. Only its own thread may touch it.

    Args:
        text: of the job.
        job: the file that it was read from and is saved to, if the user named one.
        home: a private folder; its maker removes it.
    """

    text: str
    home: Path
    job: Path | None = None
    saved: str = ""  # what the file holds
    kept: str = ""  # the text as a person has it elsewhere: in a file that was opened, saved or taken away
    revision: int = 0  # changes where tables come and go: what was drawn before names others by now
    opened: set[str] = field(default_factory=set)  # tables that are shown in full
    run: LayoutRun | None = None
    question: Enquiry | None = None  # what the fabrics give
    focus: str = ""  # the id of what the next answer gives the focus to
    told: str = ""  # what became of the latest wish, for people
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    _seen: Seen | None = None
    _pictured: tuple[object, dict[str, ClothPicture]] = ((), {})  # of what files, and what they show
    _runs: int = 0

    @classmethod
    def begin(cls, job: Path | None) -> Desk:
        """Return a desk with a job file on it, or with a starter.

        Raises:
            JobError: the file can't be read.
        """
        text = starter(Unit.IN)
        if job is not None:
            try:
                content = job.read_bytes()[: MOST_TEXT + 1]
            except OSError as error:
                says = f"can't be read ({error.strerror}); give the path of a job file"
                raise JobError("", says) from None
            text = decoded(content)
        home = Path(tempfile.mkdtemp(prefix="cutfiles-page-"))
        (home / "job").mkdir()
        return cls(text, home, job, saved=text if job else "", kept=text)

    @property
    def folder(self) -> Path:
        """Return where paths in the job begin."""
        return self.job.parent if self.job else self.home / "job"

    @property
    def seen(self) -> Seen:
        """Return the job as the reader sees it."""
        if self._seen is None or self._seen.text != self.text:
            self._seen = self._look()
        return self._seen

    @property
    def is_unsaved(self) -> bool:
        """Whether the file that the user named lacks what was changed."""
        return self.job is not None and self.saved != self.text

    @property
    def would_be_lost(self) -> bool:
        """Whether closing the page would lose something: a text that is nowhere else."""
        return self.kept != self.text

    @property
    def is_outdated(self) -> bool:
        """Whether the job has changed since it was laid out."""
        return self.run is not None and self.run.text != self.text

    def set(self, path: document.Path, typed: str) -> None:
        """Change one key to what was typed; nothing takes it out.

        Raises:
            JobError: there is no such key, or the text is too broken to be changed.
        """
        self._change(document.with_value(self.text, path, value_of(field_at(path), typed)))

    def tick(self, path: document.Path, word: str, *, ticked: bool) -> None:
        """Put a word into a list of choices, or take it out."""
        key_field = field_at(path)
        if word not in key_field.choices:
            raise JobError(".".join(map(str, path)), f"there is no choice {word}")
        written = document.at(self.seen.tables, path)
        default = key_field.default if isinstance(key_field.default, tuple) else ()
        chosen = {*(written if isinstance(written, list) else default)}
        chosen = chosen | {word} if ticked else chosen - {word}
        # In the order of the field table, whatever the order of ticking: it is no order of importance.
        value = [choice for choice in key_field.choices if choice in chosen]
        self._change(document.with_value(self.text, path, value))

    def flag(self, path: document.Path, *, ticked: bool) -> None:
        """Set a key that is true or false."""
        field_at(path)
        self._change(document.with_value(self.text, path, ticked))

    def option(self, name: str, *, there: bool) -> None:
        """Put an empty table there, or take the table out."""
        if there:
            self._change(document.with_table(self.text, name))
        elif document.at(self.seen.tables, (name,)) is not None:
            self._change(document.without(self.text, (name,)))

    def block(self, name: str) -> None:
        """Make the plate another kind of block."""
        seen = self.seen
        self._change(with_block(self.text, seen.tables, seen.sized, name))

    def show_cloth(self, index: int, content: bytes) -> None:
        """Show a fabric by a picture that was given, as wide as the fabric until it is set to scale.

        Raises:
            JobError: it is no picture, or there is no such fabric.
            DiskError: the disk refused.
        """
        entry = document.at(self.seen.tables, ("fabric", index))
        if not isinstance(entry, dict):
            raise JobError("fabric", "is no longer there")
        name = free_name(str(entry.get("name", "cloth")), ".jpg", self.folder)
        write_beside(self.folder / name, content)
        width = entry.get("width")
        changes: list[tuple[document.Path, document.Value | None]] = [(("fabric", index, "picture"), name)]
        if "picture_width" not in entry:
            changes.append((("fabric", index, "picture_width"), width if width is not None else "10 in"))
        self._change(document.with_values(self.text, changes))
        self.opened = {f"fabric.{index}"}
        self.told = "It is taken to show the whole width of the fabric: set it to scale by two marks."
        if self.job is not None:
            self.told += f" {name} lies beside {self.job.name}."

    def give(self, path: document.Path, upload: str, content: bytes) -> None:
        """Keep a file that the key at a place shall name, under a name of its own, and name it there.

        Args:
            path: of a key that names a drawing or notes on a machine.
            upload: the file's name where it came from, which only says what kind it is.
            content: of the file.

        Raises:
            JobError: no file is named there, or it is of another kind.
            GeometryError: it is no drawing of one closed outline.
            DiskError: the disk refused.
        """
        endings, ending, says = endings_of(path), Path(upload).suffix.lower(), ""
        where = ".".join(map(str, path))
        if ending not in endings:
            raise JobError(where, f"takes a file whose name ends in {' or '.join(endings) or 'nothing'}")
        entry = document.at(self.seen.tables, path[:-1])
        label = entry.get("name") if isinstance(entry, dict) else None
        name = free_name(str(label or path[-1]), ending, self.folder)
        file = self.folder / name
        write_beside(file, content)
        if ending in DRAWINGS:
            from cutfiles.pieces.drawings.outline import drawn_outline  # noqa: PLC0415  # half a second

            unit = unit_of(self.seen.tables)
            try:
                left, low, right, high = bounds(drawn_outline(file, unit))
            except GeometryError:
                file.unlink()
                raise
            says = f"The drawing measures {sides_shown(right - left, high - low, unit)}."
        # A drawing has a size of its own.
        others = {"outline": ("points",), "fabric": ("width", "length")}.get(str(path[0]), ())
        gone: list[tuple[document.Path, document.Value | None]] = [
            ((*path[:-1], key), None) for key in others
        ]
        self._change(document.with_values(self.text, [*gone, (path, name)]))
        beside = f"{name} lies beside {self.job.name}." if self.job is not None else ""
        self.told = f"{says} {beside}".strip()

    def scale_cloth(self, index: int, marks: ScaleMarks, distance: str) -> None:
        """Set the picture of a fabric to scale by how far apart two places on it are on the cloth."""
        fabric, picture = self._cloth(index)
        width = width_from_marks(marks, distance, picture, self.seen.tables)
        self._change(document.with_value(self.text, ("fabric", index, "picture_width"), width))
        unit = unit_of(self.seen.tables)
        self.told = f"The picture shows {shown(length_mm(width, unit), unit)} of {fabric.name} crosswise."

    def repeat_cloth(self, index: int) -> None:
        """Take it that the picture of a fabric shows one whole repeat of its print."""
        _, picture = self._cloth(index)
        repeat = {"width": f"{picture.width_mm:.2f} mm", "length": f"{picture.height_mm:.2f} mm"}
        self._change(document.with_value(self.text, ("fabric", index, "repeat"), repeat))
        self.focus = f"t-fabric-{index}-motif"

    def set_motif(self, index: int, x_mm: float, y_mm: float) -> None:
        """Have every piece of a fabric cut where its origin lies on the same place of the print."""
        fabric, _ = self._cloth(index)
        motif = in_first_repeat(fabric, x_mm, y_mm, self.seen.tables)
        self._change(document.with_value(self.text, ("fabric", index, "motif"), motif))

    def _cloth(self, index: int) -> tuple[FabricSpec, ClothPicture]:
        """Return a fabric and its picture.

        Raises:
            JobError: there is none, or something else is wrong with the job.
        """
        seen = self.seen
        fabric = fabric_at(seen, index)
        if fabric is None or fabric.name not in seen.pictures:
            raise JobError("fabric", "has no picture that can be shown; mend what is marked first")
        return fabric, seen.pictures[fabric.name]

    def part(self, index: int) -> None:
        """Make each of several fabrics that share a table a fabric by itself, such as to picture each.

        Raises:
            JobError: there is no such table, or they are sold together.
        """
        entry = document.at(self.seen.tables, ("fabric", index))
        if isinstance(entry, dict) and "pack" in entry:
            raise JobError("fabric", "they are sold in one pack, so they stay together; empty “Pack” first")
        self._change(document.with_each_alone(self.text, ("fabric", index), "names", "name"))
        self.revision += 1
        self.opened = {f"fabric.{index}"}
        self.focus = f"t-fabric-{index}"

    def keep_out(self, name: str, *, more: int) -> None:
        """Keep so many more pieces of a fabric out of the layout; a number below 0 puts them back in.

        Raises:
            JobError: there is no such fabric.
        """
        fabrics = self.seen.tables.get("fabric", [])
        index = next((number for number, entry in enumerate(fabrics) if name in _names_of(entry)), None)
        if index is None:
            raise JobError("fabric", f"{name} is no longer there")
        out = fabrics[index].get("keep_out", 0)
        count = max(0, (out if isinstance(out, int) else 0) + more)
        self._change(document.with_value(self.text, ("fabric", index, "keep_out"), count or None))
        self.told = f"{name}: {count or 'no'} {'piece' if count == 1 else 'pieces'} kept out. Lay out again."

    def order_by_hand(self) -> None:
        """Write down which fabric stands where, as it would be spread, to be changed by hand."""
        seen = self.seen
        if seen.sized is None or not (order := order_of(seen.sized)):
            raise JobError("plate.order", "needs fabrics that give blades")
        self._change(document.with_value(self.text, ("plate", "order"), list(order)))

    def move_in_order(self, number: int, to: int) -> None:
        """Move a name of the order to another place of it, both counted from 0.

        Raises:
            JobError: there is no such order, or no such place in it.
        """
        order = document.at(self.seen.tables, ("plate", "order"))
        if not isinstance(order, list) or not (0 <= number < len(order) and 0 <= to < len(order)):
            raise JobError("plate.order", "has no such place any more")
        moved = list(order)
        moved.insert(to, moved.pop(number))
        self._change(document.with_value(self.text, ("plate", "order"), moved))

    def add(self, name: str, values: Mapping[str, document.Value]) -> None:
        """Put one more table of those that come again, and show it in full."""
        entries = self.seen.tables.get(name, [])
        count = len(entries) if isinstance(entries, list) else 0
        if count >= _MOST_FABRICS:
            raise JobError(name, f"{count} are as many as the page shows; put more into the job file by hand")
        self._change(document.with_tables(self.text, name, [values]))
        self.revision += 1
        self.opened = {f"{name}.{count}"}
        self.focus = f"t-{name}-{count}"

    def add_flaw(self, index: int) -> None:
        """Put one more flaw on a fabric, in its lower left corner, to be given its place.

        Raises:
            JobError: there is no such fabric, or its flaws are no list.
        """
        flaws = document.at(self.seen.tables, ("fabric", index, "avoid"))
        side: document.Value = 1 if unit_of(self.seen.tables) is Unit.IN else "2 cm"
        # Where it lies is left empty: there is nothing to type over.
        path = ("fabric", index, "avoid")
        self._change(document.with_inner(self.text, path, {"width": side, "length": side}))
        self.revision += 1
        self.focus = f"f-fabric-{index}-avoid-{len(flaws) if isinstance(flaws, list) else 0}"

    def remove(self, path: document.Path) -> None:
        """Take one of those tables out, or one of a list inside it."""
        self._change(document.without(self.text, path))
        self.revision += 1
        if len(path) > 2:
            self.focus = f"f-{'-'.join(map(str, path[:-1]))}-add"
        else:
            self.opened = set()

    def take_text(self, text: str) -> None:
        """Work on another text from now on.

        Raises:
            JobError: it is too long.
        """
        if len(text) > MOST_TEXT:
            raise JobError("", "is larger than 1 MB; a job file holds a few lines of text")
        self._change(text.replace("\r\n", "\n"))
        self.revision += 1
        self.opened = set()

    def begin_anew(self, text: str) -> None:
        """Work on a text that is somewhere else, too: an example, or a file."""
        self.take_text(text)
        self.kept = self.text

    def open(self, files: Mapping[str, bytes]) -> None:
        """Work on a job that was given as a file, with drawings beside it perhaps.

        Raises:
            JobError: none of the files is a job, or more than one.
        """
        name, text = job_among(files)
        for other, content in files.items():
            if other != name and is_plain(other):
                is_picture = other.lower().endswith(PICTURES)
                (self.home / "job" / other).write_bytes(made_anew(content) if is_picture else content)
        text = as_given(text, [other for other in files if is_plain(other)])
        self.job, self.saved = None, ""
        self.begin_anew(text)

    def save(self) -> None:
        """Write the text into the file that the user named.

        Raises:
            DiskError: somebody else changed the file meanwhile, or the disk refused.
        """
        assert self.job is not None
        try:
            there = self.job.read_bytes() if self.job.exists() else self.saved.encode()
            if there.decode("utf-8-sig", "replace").replace("\r\n", "\n") != self.saved:
                raise DiskError(
                    f"{self.job.name} was changed elsewhere meanwhile; take the job file away below"
                )
            beside = self.job.with_name(f".{self.job.name}.{self.token[:6]}")
            beside.write_text(self.text, encoding="utf-8", newline="\n")
            beside.replace(self.job)
        except OSError as error:
            raise DiskError(f"the disk refused ({error.strerror}); nothing was changed") from None
        self.saved = self.kept = self.text
        self.told = f"Saved to {self.job.name}."

    def lay_out(self) -> None:
        """Begin to lay out the job as it stands; what was on its way is ended."""
        if self.seen.problem is not None:
            return
        self.told = ""
        self.end_run()
        self.drop_question()
        self._runs += 1
        out = self.home / f"run-{self._runs}"
        try:
            if self.run is not None:
                shutil.rmtree(self.run.out, ignore_errors=True)
            out.mkdir()
            job = out / "job.toml"
            job.write_text(self.text, encoding="utf-8")
            keep(self.seen.tables, self.folder, out / GIVEN)
            self.run = LayoutRun(self._runs, self.text, job, out, self.folder)
            self.run.start()
        except OSError as error:
            self.run = None
            raise DiskError(f"the disk refused ({error.strerror}); make room and lay out again") from None

    def end_run(self) -> None:
        """End what is on its way, if anything is."""
        if self.run is not None and self.is_laying_out:
            self.run.kill()

    def ask(self) -> None:
        """Have it worked out what the fabrics of the job as it stands give, unless it is known or on its way.

        While a layout is on its way nothing is asked: a person waits for that.
        """
        sized = self.seen.sized
        if sized is None or not sized.job.fabrics or self.is_laying_out or self.answer is not None:
            return
        self.drop_question()
        file = self.home / "asked.toml"
        try:
            file.write_text(self.text, encoding="utf-8")
            self.question = Enquiry(sized.job)
            self.question.ask(file, self.folder)
        except OSError:
            self.question = None  # it is asked again soon

    @property
    def answer(self) -> Enquiry | None:
        """Return what is known of what the fabrics of the job as it stands give, None before it was asked."""
        sized = self.seen.sized
        known = self.question is not None and sized is not None and self.question.job == sized.job
        return self.question if known else None

    @property
    def is_laying_out(self) -> bool:
        """Whether a layout is on its way."""
        return self.run is not None and not self.run.over

    def drop_question(self) -> None:
        """End what is being worked out, if anything is."""
        if self.question is not None and not self.question.over:
            self.question.drop()
            self.question = None

    def zipped(self) -> bytes | None:
        """Return the job, what it names, and all files made of it, packed; None before anything is laid."""
        if self.run is None or self.run.folder is None:
            return None
        files = {path.name: path.read_bytes() for path in self.run.folder.iterdir()}
        text, given = packed_with(self.run.text, self.run.out / GIVEN, ("job.toml", *files))
        files |= {**given, "job.toml": text.encode("utf-8")}
        self.kept = self.run.text
        return zip_of(files)

    def close(self) -> None:
        """End every process and remove all that was written for this start."""
        self.end_run()
        self.drop_question()
        shutil.rmtree(self.home, ignore_errors=True)

    def _change(self, text: str) -> None:
        self.text = text
        self.told = ""

    def _look(self) -> Seen:
        tables = document.tables_of(self.text)
        try:
            if self.job is None:
                stay_inside(tables)
            sized = size(parse_job(self.text, folder=self.folder))
        except CutfilesError as error:
            return Seen(self.text, tables, None, error)
        try:
            return Seen(self.text, tables, sized, None, self._pictures(sized.job))
        except JobError as error:
            return Seen(self.text, tables, sized, error)

    def _pictures(self, job: Job) -> Mapping[str, ClothPicture]:
        """The pictures of a job's cloth, decoded again only where a file or a width is another."""
        named = [(fabric.name, fabric.picture, fabric.picture_width_mm) for fabric in job.fabrics]
        key = [(*of_fabric, _stamp(of_fabric[1])) for of_fabric in named]
        if self._pictured[0] != key:
            pictures = cloth_pictures(job)
            addresses = {name: f"/cloth/{number}" for number, (name, _, _) in enumerate(named)}
            self._pictured = (
                key,
                {
                    name: replace(picture, address=f"{addresses[name]}?{_stamp_text(key)}")
                    for name, picture in pictures.items()
                },
            )
        return self._pictured[1]


def _stamp(path: Path | None) -> object:
    """What tells a file from what it was before."""
    if path is None or not path.exists():
        return None
    status = path.stat()
    return status.st_mtime_ns, status.st_size


def _stamp_text(key: object) -> str:
    """The same as part of an address, so that a browser asks again for a picture that is another."""
    return hashlib.sha256(repr(key).encode()).hexdigest()[:12]
