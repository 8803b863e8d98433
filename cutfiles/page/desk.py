"""What the page works on: the text of a job, where it is kept, and the latest laying out."""

from __future__ import annotations

import secrets
import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from cutfiles.core.errors import DiskError, JobError
from cutfiles.core.units import Unit
from cutfiles.job.starter import starter
from cutfiles.page.cloth import made_anew
from cutfiles.page.fields.named_files import (
    PICTURES,
    as_given,
    is_plain,
    keep,
    packed_with,
)
from cutfiles.page.files import MOST_TEXT, decoded, job_among, zip_of
from cutfiles.page.processes.question import Enquiry
from cutfiles.page.processes.run import LayoutRun
from cutfiles.page.seen import JobReader, Seen

GIVEN = "given"  # the folder of a run with what the job names


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
    message: str = ""  # what became of the latest action, for people
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    _seen: Seen | None = None
    _reader: JobReader = field(default_factory=JobReader)
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
            self._seen = self._reader.read(self.text, self.folder, stays_inside=self.job is None)
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

    def take_text(self, text: str) -> None:
        """Work on another text from now on.

        Raises:
            JobError: it is too long.
        """
        if len(text) > MOST_TEXT:
            raise JobError("", "is larger than 1 MB; a job file holds a few lines of text")
        self.change(text.replace("\r\n", "\n"))
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
        self.message = f"Saved to {self.job.name}."

    def lay_out(self) -> None:
        """Begin to lay out the job as it stands; what was on its way is ended."""
        if self.seen.problem is not None:
            return
        self.message = ""
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

    def change(self, text: str) -> None:
        """Work on a changed text."""
        self.text = text
        self.message = ""
