"""Cuts through a piece of cloth as a person is told them."""

from __future__ import annotations

from collections.abc import Sequence

from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import Unit, shown
from cutfiles.nest.cutting_rules.guillotine import ThroughCut


def cut_words(cuts: Sequence[ThroughCut], unit: Unit) -> list[str]:
    """Return a line for each cut, runs of equal ones together, numbered as they are made.

    >>> first = ThroughCut(True, 120.65, 0.0, 500.0, 120.65, further=False)
    >>> second = ThroughCut(True, 241.3, 0.0, 500.0, 120.65, further=True)
    >>> cut_words([first, second, second], Unit.IN)
    ['1: across, 4 3/4 in from the lower edge', '2 and 3: across, 4 3/4 in further each time']

    The next strip begins at its own edge again, and alike strips of one cut each are told together:

    >>> cut_words([first, second, first], Unit.IN)[-1]
    '3: across, 4 3/4 in from the lower edge'
    >>> cut_words([first, first, first], Unit.IN)
    ['1 to 3: across, 4 3/4 in from the lower edge of each']
    """
    runs: list[list[int]] = []
    for place, cut in enumerate(cuts):
        before = cuts[runs[-1][-1]] if runs else None
        alike = (
            before is not None
            and (before.is_across, before.further) == (cut.is_across, cut.further)
            and abs(before.off_mm - cut.off_mm) < RULE_MM
        )
        if alike:
            runs[-1].append(place)
        else:
            runs.append([place])
    return [f"{_numbers(run)}: {_words(cuts[run[0]], len(run), unit)}" for run in runs]


def _numbers(run: Sequence[int]) -> str:
    first, last = run[0] + 1, run[-1] + 1
    if first == last:
        return str(first)
    return f"{first} and {last}" if last == first + 1 else f"{first} to {last}"


def _words(cut: ThroughCut, count: int, unit: Unit) -> str:
    way = "across" if cut.is_across else "along the grain"
    if cut.further:
        return f"{way}, {shown(cut.off_mm, unit)} further{' each time' if count > 1 else ''}"
    edge = "lower" if cut.is_across else "left"
    return f"{way}, {shown(cut.off_mm, unit)} from the {edge} edge{' of each' if count > 1 else ''}"
