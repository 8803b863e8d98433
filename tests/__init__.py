"""Tests mirror the folders of the package; every generator is in `tests/strategies.py`."""

import os

from hypothesis import HealthCheck, settings

# A time limit on single examples fails on a busy machine for no fault of ours.
settings.register_profile(
    "cutfiles",
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=bool(os.environ.get("CI")),
)
settings.load_profile("cutfiles")
