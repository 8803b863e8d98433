"""Files as they come to the page and leave it: the job among those that were opened, and all in a zip."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from pathlib import Path

from cutfiles.core.errors import DiskError, JobError
from cutfiles.page.fields.document import tables_of
from cutfiles.page.fields.named_files import NOTES, named_files

MOST_TEXT = 1_000_000  # characters of a job, as the reader has it
_ZIP_DATE = (1980, 1, 1, 0, 0, 0)  # the same files, the same bytes


def decoded(content: bytes, name: str = "") -> str:
    """Return the text of a job file.

    Raises:
        JobError: it is none, or too long.
    """
    if len(content) > MOST_TEXT:
        raise JobError(name, "is larger than 1 MB; a job file holds a few lines of text")
    try:
        return content.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError:
        raise JobError(name, "is not UTF-8 text; save the file as UTF-8") from None


def job_among(files: Mapping[str, bytes]) -> tuple[str, str]:
    """Return the job file among several, by name and text: not one that another names as notes on a machine.

    Raises:
        JobError: there is none, or there are more than one.
    """
    texts = {name: decoded(content, name) for name, content in files.items() if name.lower().endswith(NOTES)}
    named = {file.last for text in texts.values() for file in named_files(tables_of(text))}
    jobs = [name for name in texts if name not in named]
    if len(jobs) != 1:
        raise JobError("", "choose one job file, its name ends in .toml, and with it the files that it names")
    return jobs[0], texts[jobs[0]]


def write_beside(path: Path, content: bytes) -> None:
    """Keep what was given beside the job.

    Raises:
        DiskError: the disk refused.
    """
    try:
        path.write_bytes(content)
    except OSError as error:
        raise DiskError(f"the disk refused ({error.strerror}); {path.name} was not kept") from None


def zip_of(files: Mapping[str, bytes]) -> bytes:
    """Return files in a zip, in the order of their names."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in sorted(files.items()):
            archive.writestr(zipfile.ZipInfo(name, _ZIP_DATE), content, zipfile.ZIP_DEFLATED)
    return packed.getvalue()
