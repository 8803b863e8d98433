"""Broken files without end: `python -m tests.bench.fuzz [SECONDS] [FIRST]`; prints what ends badly."""

from __future__ import annotations

import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path

from tests.check.fuzz import broken, ends_well


def main(seconds: float, first: int) -> None:
    """Break one file after the other until the time is over."""
    ends: Counter[str] = Counter()
    number, slowest = first, (0.0, first)
    over = time.process_time() + seconds
    while time.process_time() < over:
        suffix, content = broken(number)
        start = time.process_time()
        with tempfile.TemporaryDirectory() as folder:
            try:
                ends_well(Path(folder), suffix, content)
                ends[suffix] += 1
            except Exception:
                ends["TRACEBACK"] += 1
                print(f"broken({number}), {suffix}: {traceback.format_exc(limit=-4)}", flush=True)
        slowest = max(slowest, (time.process_time() - start, number))
        number += 1
    print(f"{number - first} files from {first} on: {dict(sorted(ends.items()))}")
    print(f"slowest {slowest[0]:.2f} s, broken({slowest[1]})")


if __name__ == "__main__":
    given = [float(word) for word in sys.argv[1:3]]
    main(given[0] if given else 60.0, int(given[1]) if len(given) > 1 else 0)
