"""What `check` found: findings in a lasting order, notes, and how much was read."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from cutfiles.core.words import counted
from cutfiles.findings.codes import Code

Json = dict[str, Any]
_MOST_TEXT = 300


@dataclass(frozen=True, slots=True)
class Fault:
    """A finding before it is known in which file it is."""

    code: Code
    place: str  # an id, a line number, a key path; empty for the whole file
    says: str  # what was found, what is allowed


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault in one file."""

    code: str
    file: str
    place: str
    says: str

    def line(self) -> str:
        """Return the finding as one line: file, place, code, sentence."""
        return ": ".join(part for part in (self.file, self.place, self.code, self.says) if part)


@dataclass(frozen=True, slots=True)
class Report:
    """Everything that a check found."""

    findings: tuple[Finding, ...]
    notes: tuple[str, ...]  # what could not be known; no faults
    files: int  # machine files read
    pieces: int  # outlines to cut; a load that comes in several formats counts once

    def summary(self) -> str:
        """Return one line: how many faults, or how much was read without any.

        >>> Report((), (), 4, 60).summary()
        'no faults: 4 files, 60 pieces'
        """
        if not self.findings:
            return f"no faults: {counted(self.files, 'file')}, {counted(self.pieces, 'piece')}"
        faulty = len({finding.file for finding in self.findings})
        return f"{counted(len(self.findings), 'fault')} in {counted(faulty, 'file')}"

    def json(self) -> Json:
        """Return the report as one JSON object."""
        return {
            "files": self.files,
            "pieces": self.pieces,
            "findings": [
                {"code": finding.code, "file": finding.file, "place": finding.place, "says": finding.says}
                for finding in self.findings
            ],
            "notes": list(self.notes),
        }


def plain(text: str) -> str:
    r"""Return text that fits on one line of any terminal: files and layouts may hold anything.

    >>> plain("tide\n\x1b[2J" + "\ud800")
    'tide??[2J?'
    """
    cut = text if len(text) <= _MOST_TEXT else f"{text[:_MOST_TEXT]}…"
    return "".join(sign if sign.isprintable() else "?" for sign in cut)


def in_order(findings: list[Finding]) -> tuple[Finding, ...]:
    """Return findings by file, place (numbers as numbers) and code; each only once."""
    return tuple(
        sorted(
            set(findings),
            key=lambda finding: (
                _natural(finding.file),
                _natural(finding.place),
                finding.code,
                _natural(finding.says),
            ),
        )
    )


def _natural(text: str) -> list[tuple[int, int, str]]:
    # ASCII digits only: int() refuses some of what \d takes, and very long numbers.
    return [
        (0, int(part), "") if re.fullmatch(r"[0-9]{1,15}", part) else (1, 0, part)
        for part in re.split(r"([0-9]{1,15})", text)
    ]
