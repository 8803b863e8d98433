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
from contextlib import contextmanager
from pathlib import Path

from cutfiles.core.errors import DiskError
from cutfiles.files.layout_json import LAYOUT_NAME, own_sums


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
        if (out / name).exists() and name not in own:
            raise DiskError(
                f"{out / name}: this file is there and was not written by cutfiles, or was changed since; "
                f"move it away or choose another folder with --out"
            )
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        staging = Path(tempfile.mkdtemp(prefix=".cutfiles-", dir=out.parent))
    except OSError as error:
        raise DiskError(f"{out}: can't write there ({error.strerror}); choose another folder") from None
    try:
        new, old = staging / "new", staging / "old"
        new.mkdir()
        old.mkdir()
        for name, content in files.items():
            (new / name).write_bytes(content)
        with _undisturbed():
            _exchange(out, new, old, own)
    except OSError as error:
        raise DiskError(f"{out}: the disk refused ({error.strerror}); nothing was changed") from None
    finally:
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
    own = {name for name, known in sums.items() if _is_as_written(out / Path(name).name, known)}
    return frozenset(own | {LAYOUT_NAME})


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
    except OSError:
        for name in moved_in:
            (out / name).unlink(missing_ok=True)
        for name in moved_out:
            os.replace(old / name, out / name)
        if made:
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
