"""Tests mirror the folders of the package; every generator is in `tests/strategies.py`."""

import os
import sys

from hypothesis import HealthCheck, settings

# A time limit on single examples fails on a busy machine for no fault of ours.
settings.register_profile(
    "cutfiles",
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=bool(os.environ.get("CI")),
)
settings.load_profile("cutfiles")

# Commands are run in dozens of processes: they need not compile the package anew, whatever is usual here.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
