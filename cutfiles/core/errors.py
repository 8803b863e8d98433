"""Every error that a user can cause.

CutfilesError                exit status 2; `cli/main.py` turns it into one line
├── JobError                 a key of the job file is wrong, or the file can't be read
├── UnmetError               the job is well formed, but can't be met as it stands
├── GeometryError            sizes that no fabric can be cut to
├── DiskError                a file would be overwritten, or can't be written
└── UnreadableError          a machine file that `check` can't make sense of

Anything else that escapes is our own bug and keeps its traceback.
"""

from __future__ import annotations


class CutfilesError(Exception):
    """The root: one sentence for the user, without the name of the file."""

    exit_status = 2
    file = ""  # the file that it is about, set where the command knows it


class JobError(CutfilesError):
    """A key of the job file is wrong.

    Args:
        where: key path as a user writes it, such as `fabric.tide.margin`; empty for the whole file.
        says: what was found, what is allowed, what to do.
    """

    def __init__(self, where: str, says: str) -> None:
        self.where = where
        self.says = says
        super().__init__(f"{where}: {says}" if where else says)


class UnmetError(CutfilesError):
    """The job can't be met: it asks for more than its fabrics give."""


class GeometryError(CutfilesError):
    """Sizes that can't be drawn or cut."""


class DiskError(CutfilesError):
    """Writing would lose a file that isn't ours, or the disk refused."""


class UnreadableError(CutfilesError):
    """A machine file that can't be read at all."""
