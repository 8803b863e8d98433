"""What the checks of many files find, collected into one report."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from cutfiles.findings.codes import Code
from cutfiles.findings.report import Fault, Finding, Report, in_order, plain

# A file that is wrong all over needn't say so a thousand times.
_MOST_OF_A_KIND = 200


@dataclass(slots=True)
class Collected:
    """Findings, notes and counts so far."""

    files: int = 0  # machine files read
    _findings: list[Finding] = field(default_factory=list)
    _notes: list[str] = field(default_factory=list)
    _pieces: Counter[tuple[Path, str]] = field(default_factory=Counter)  # by folder and load

    def faults(self, path: Path, faults: Iterable[Fault]) -> None:
        """Add what is wrong with one file; of each kind no more than a person reads."""
        counts: Counter[Code] = Counter()
        for fault in faults:
            counts[fault.code] += 1
            if counts[fault.code] <= _MOST_OF_A_KIND:
                where = (plain(str(path)), plain(fault.place))
                self._findings.append(Finding(fault.code.value, *where, plain(fault.says)))
        for code, count in counts.items():
            if count > _MOST_OF_A_KIND:
                words = f"and {count - _MOST_OF_A_KIND} more of the kind"
                self._findings.append(Finding(code.value, plain(str(path)), "", words))

    def note(self, path: Path, says: str) -> None:
        """Add what could not be known of a file."""
        self._notes.append(f"{path}: {says}")

    def pieces(self, folder: Path, load: str, count: int) -> None:
        """Count the pieces of one file; a load that comes in several formats counts once."""
        self._pieces[folder, load] = max(self._pieces[folder, load], count)

    def report(self) -> Report:
        """Return everything, in a lasting order."""
        notes = tuple(dict.fromkeys(plain(note) for note in self._notes))
        return Report(in_order(self._findings), notes, self.files, sum(self._pieces.values()))
