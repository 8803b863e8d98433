"""What the fabrics give and what to buy: asked of a process beside the page, shown as far as it is known."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from cutfiles.job.model.job import Job
from cutfiles.page.processes.child_process import ChildProcess, Json

WORKER = "cutfiles.page.processes.gives"


@dataclass(slots=True)
class Enquiry:
    """One question about one job. What is known of the answer stands in it; what isn't is empty.

    Args:
        job: that it is asked of.
    """

    job: Job
    plates: str = ""
    longest: str = ""
    turned: list[str] = field(default_factory=list)
    buy: list[str] = field(default_factory=list)
    short: list[str] = field(default_factory=list)
    failed: str = ""
    over: bool = False
    _process: ChildProcess | None = None

    def ask(self, file: Path, folder: Path) -> None:
        """Start the process that answers.

        Args:
            file: with the text of the job.
            folder: where paths in the job begin.

        Raises:
            OSError: no process could be started.
        """
        self._process = ChildProcess(WORKER, (file, folder), take=self._take, end=self._end)

    @property
    def pid(self) -> int:
        """Return the process's id, 0 before it is started."""
        return self._process.pid if self._process else 0

    def drop(self) -> None:
        """End the process; the answer is no longer wanted."""
        self.over = True
        if self._process:
            self._process.kill()

    def _take(self, message: Json) -> None:
        kind = message["kind"]
        if kind == "plates":
            self.plates = message["says"]
        elif kind == "buy":
            self.buy, self.short = message["buy"], message["short"]
        elif kind == "longest":
            self.longest, self.turned = message["says"], message["turned"]
        elif kind == "failed":
            self.failed = message["says"]

    def _end(self) -> None:
        self.over = True
