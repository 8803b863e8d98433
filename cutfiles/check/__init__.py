"""Machine files read back and judged. `check.py` is the door.

In: files or folders. Out: a `findings.report.Report`. It imports no stage that it judges, and no writer.

The folder itself can be called, as `cutfiles.check(…)`: the public function has the name of the folder, and
Python puts the folder in its place as soon as anything of it is imported.
"""

from __future__ import annotations

import sys
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cutfiles.findings.report import Report


def check_files(*paths: Path | str) -> Report:
    """Return what is wrong with machine files.

    Args:
        paths: machine files, folders that `make` wrote, or their layout.json.

    Raises:
        UnreadableError: a path doesn't exist, is no machine file, or is a folder with nothing to check.
    """
    # The geometry library takes its time to load: not before there is something to check.
    from cutfiles.check.check import check_paths  # noqa: PLC0415

    return check_paths([Path(path) for path in paths])


class _Door(ModuleType):
    """A module that can be called; the language reference allows another class for one."""

    def __call__(self, *paths: Path | str) -> Report:
        """Return what `check_files` does."""
        return check_files(*paths)


sys.modules[__name__].__class__ = _Door
