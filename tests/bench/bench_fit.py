"""How long `fit` takes: `python -m tests.bench.bench_fit` prints waits and CPU times for the fixture jobs.

A stash of twenty kinds of cloth should answer within 10 s on two idle cores.
"""

from __future__ import annotations

import resource
import sys
import time
from pathlib import Path

from cutfiles import fit

JOBS = Path(__file__).parents[2] / "fixtures/jobs"
BOUND_S = 10.0  # for the stash
NAMES = ("stash", "shopping", "scrappy", "kits", "metric", "pictured")


def spent_s() -> float:
    """Return the CPU seconds of this process and of those that it ended."""
    usages = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(usage.ru_utime + usage.ru_stime for usage in usages)


def main(names: list[str]) -> None:
    """Print how long each job takes."""
    for name in names or NAMES:
        spent, start = spent_s(), time.perf_counter()
        answer = fit(JOBS / f"harbour-{name}" / "job.toml")
        wait = time.perf_counter() - start
        bound = f", bound {BOUND_S:g} s on two idle cores" if name == "stash" else ""
        print(
            f"{name:10} {wait:6.2f} s{bound}; CPU {spent_s() - spent:6.2f} s;"
            f" {answer.whole.plates} plates, {len(answer.steps)} steps"
        )


if __name__ == "__main__":
    main(sys.argv[1:])
