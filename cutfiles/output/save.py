"""The only module that touches the disk: all files or none, and nothing that isn't ours is lost.

Everything is first written into a new folder beside the target. Then, in one short stretch that Ctrl-C
waits for, our own old files go out and the new ones come in; if the disk refuses half way, what was there
is put back.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import signal
import tempfile
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from cutfiles.core.errors import DiskError
from cutfiles.output.layout_json import LAYOUT_NAME, own_sums


def save(out: Path, files: Mapping[str, bytes]) -> None:
    """Write files into a folder, which is made if need be.

    Args:
        out: the folder.
        files: contents by name, `layout.json` among them.

    Raises:
        DiskError: a name is taken by a file that isn't ours or was changed since, or the disk refused.
            Nothing has changed then.
    """
    own = _own_files(out)
    for name in files:
        # lexists: a link that leads nowhere is somebody's file too.
        if os.path.lexists(out / name) and name not in own:
            raise DiskError(
                f"{out / name}: this file is there and was not written by cutfiles, or was changed since; "
                f"move it away or choose another folder with --out"
            )
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        # In the folder itself where it is there: it may be a link or a mount to another disk.
        staging = Path(tempfile.mkdtemp(prefix=".cutfiles-", dir=out if out.exists() else out.parent))
    except OSError as error:
        raise DiskError(f"{out}: can't write there ({error.strerror}); choose another folder") from None
    new, old = staging / "new", staging / "old"
    stranded = False
    try:
        new.mkdir()
        old.mkdir()
        for name, content in files.items():
            (new / name).write_bytes(content)
        with _undisturbed():
            _exchange(out, new, old, own)
    except OSError as error:
        stranded = old.is_dir() and any(old.iterdir())
        what = "nothing was changed"
        if stranded:
            what = f"your earlier files could not all be put back; the missing ones are in {old}"
        raise DiskError(f"{out}: the disk refused ({error.strerror}); {what}") from None
    finally:
        if not stranded:
            shutil.rmtree(staging, ignore_errors=True)


def _own_files(out: Path) -> frozenset[str]:
    """Names of files in the folder that an earlier run wrote and nobody has changed."""
    if out.exists() and not out.is_dir():
        raise DiskError(f"{out}: is a file, not a folder; choose another name for --out")
    try:
        sums = own_sums((out / LAYOUT_NAME).read_bytes())
    except OSError:
        return frozenset()
    if sums is None:
        return frozenset()
    own = {name for name, known in sums.items() if _is_plain(name) and _is_as_written(out / name, known)}
    return frozenset(own | {LAYOUT_NAME})


def _is_plain(name: str) -> bool:
    """Whether a name stays in its folder: a layout.json from elsewhere may name any file of the disk."""
    return name not in ("", ".", "..") and not set(name) & {"/", "\\", "\0", ":"}


def _is_as_written(path: Path, known: str) -> bool:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest() == known
    except OSError:
        return False


def _exchange(out: Path, new: Path, old: Path, own: frozenset[str]) -> None:
    made = not out.exists()
    out.mkdir(exist_ok=True)
    moved_in: list[str] = []
    moved_out: list[str] = []
    try:
        for name in sorted(own):
            os.replace(out / name, old / name)
            moved_out.append(name)
        for path in sorted(new.iterdir()):
            os.replace(path, out / path.name)
            moved_in.append(path.name)
    except BaseException:
        # One that can't be put back must not keep the others away.
        for name in moved_in:
            with suppress(OSError):
                (out / name).unlink()
        for name in moved_out:
            with suppress(OSError):
                os.replace(old / name, out / name)
        if made:
            with suppress(OSError):
                out.rmdir()
        raise


@contextmanager
def _undisturbed() -> Iterator[None]:
    """Hold back Ctrl-C (and a polite kill) until the exchange is whole."""
    if threading.current_thread() is not threading.main_thread():
        yield  # only the main thread receives signals
        return
    waiting: list[int] = []
    kept = {
        number: signal.signal(number, lambda received, _frame: waiting.append(received))
        for number in (signal.SIGINT, signal.SIGTERM)
    }
    try:
        yield
    finally:
        for number, handler in kept.items():
            signal.signal(number, handler)
        if waiting:
            signal.raise_signal(waiting[0])
