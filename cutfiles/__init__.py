"""From a plate block, its fabrics and a mat to nested machine files at true size.

What stands in `__all__` is the public face; docs/library.md shows it at work. It prints nothing,
leaves signal handlers and loggers as it found them and ends no process that it didn't start. Whatever a
caller can cause is a subclass of `errors.CutfilesError`. Each name loads when it is first used, so
`import cutfiles` takes no time.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cutfiles.check import check_files as check
    from cutfiles.core import errors
    from cutfiles.findings.report import Report
    from cutfiles.job.model.job import Job
    from cutfiles.job.parse.read import parse_job, read_job
    from cutfiles.pipeline import Made, Options, Sized, buy, fit, make, save, size

__version__ = "0.1.0"

__all__ = [
    "Job",
    "Made",
    "Options",
    "Report",
    "Sized",
    "__version__",
    "buy",
    "check",
    "errors",
    "fit",
    "make",
    "parse_job",
    "read_job",
    "save",
    "size",
]

# Where each name lives; the imports above say the same to a type checker. `check` is a folder as well,
# and one that can be called: see its `__init__`.
_HOMES = {
    "Job": "cutfiles.job.model.job",
    "Made": "cutfiles.pipeline",
    "Options": "cutfiles.pipeline",
    "Report": "cutfiles.findings.report",
    "Sized": "cutfiles.pipeline",
    "buy": "cutfiles.pipeline",
    "fit": "cutfiles.pipeline",
    "make": "cutfiles.pipeline",
    "parse_job": "cutfiles.job.parse.read",
    "read_job": "cutfiles.job.parse.read",
    "save": "cutfiles.pipeline",
    "size": "cutfiles.pipeline",
}


def __getattr__(name: str) -> object:
    """Return a public name, loaded now; PEP 562."""
    if name == "errors":
        return importlib.import_module("cutfiles.core.errors")
    if name == "check":
        return importlib.import_module("cutfiles.check")
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return __all__
