"""Which processes are there still."""

from __future__ import annotations

from pathlib import Path


def alive(group: int) -> list[int]:
    """Return the processes of a group that run or sleep."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            rest = stat.read_text(encoding="utf-8").rpartition(")")[2].split()
        except OSError:
            continue
        if int(rest[2]) == group and rest[0] != "Z":
            found.append(int(stat.parent.name))
    return found
