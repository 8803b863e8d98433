"""Errors of a command carry the name of the file that they are about."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from cutfiles.core.errors import CutfilesError, DiskError


@contextmanager
def naming(path: Path) -> Iterator[None]:
    """Mark every error raised inside as being about this file, unless it names another; a disk error does."""
    try:
        yield
    except CutfilesError as error:
        if not (isinstance(error, DiskError) or error.file):
            error.file = str(path)
        raise
