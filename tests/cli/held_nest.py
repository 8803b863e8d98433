"""The command line with a search that says "searching" and then only ends when it is stopped.

`python -m tests.cli.held_nest make …` obeys its clock; with HELD=deaf in the environment it never asks it.
So Ctrl-C can be sent at a known moment, however quick the search is.
"""

from __future__ import annotations

import os
import time
from typing import Any

from cutfiles.cli.main import run
from cutfiles.nest import nest
from cutfiles.nest.base.clock import Clock

_settled = nest._settled


def _held(cut_list: Any, cutter: Any, shortage: Any, clock: Clock, progress: Any) -> Any:
    print("searching", flush=True)
    while os.environ.get("HELD") == "deaf" or not clock.poll():
        time.sleep(0.01)
    return _settled(cut_list, cutter, shortage, clock, progress)


if __name__ == "__main__":
    nest._settled = _held
    run()
