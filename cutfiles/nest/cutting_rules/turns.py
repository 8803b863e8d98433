"""Which ways round a piece may lie: the print, the grain and the side that faces up decide together."""

from __future__ import annotations

from cutfiles.geometry.outline import Contour, bounds
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.job import Face, Grain, Print

Turns = tuple[float, ...] | None  # degrees counter-clockwise, ascending; None is any turn

# Turns at which a print looks right, the piece's centre line pointing up the print at 0.
_BY_PRINT: dict[Print, Turns] = {
    Print.PLAIN: None,
    Print.TWO_WAY: (0.0, 180.0),
    Print.ONE_WAY: (0.0,),
    Print.FOUR_WAY: (0.0, 90.0, 180.0, 270.0),
}
# Turns at which the centre line lies on the grain asked for.
_BY_GRAIN: dict[Grain, Turns] = {
    Grain.LENGTHWISE: (0.0, 180.0),
    Grain.CROSSWISE: (90.0, 270.0),
    Grain.STRAIGHT: (0.0, 90.0, 180.0, 270.0),
    Grain.ANY: None,
}


def allowed_turns(print_: Print, grain: Grain, face: Face) -> Turns:
    """Return the turns of a piece on its fabric, seen from the side that faces up.

    A print says how pieces may differ from each other, not which way the centre line must run: a
    one-way print cut crosswise gives every piece the same sideways print. So where grain and print
    have no turn in common, the print's set is turned onto the grain.

    Wrong side up, the fabric is seen in a mirror: a turn t of the right side is seen as −t.
    """
    by_print, by_grain = _BY_PRINT[print_], _BY_GRAIN[grain]
    if by_print is None or by_grain is None:
        turns = by_grain if by_print is None else by_print
    else:
        turns = tuple(turn for turn in by_print if turn in by_grain)
        if not turns:
            turns = tuple(sorted((turn + by_grain[0]) % 360.0 for turn in by_print))
    if turns is None or face is Face.RIGHT_SIDE_UP:
        return turns
    return tuple(sorted(-turn % 360.0 for turn in turns))


def turned_with(turns: Turns, turn_deg: float) -> Turns:
    """Return the allowed turns on the mat when the fabric itself lies turned."""
    return None if turns is None else tuple(sorted((turn + turn_deg) % 360.0 for turn in turns))


def narrower(turns: tuple[float, ...]) -> list[tuple[float, ...]]:
    """Return sets of fewer turns to search as well: of quarter turns the half turns, of half turns one alone.

    The other alone is the first turned end for end: it holds as many.
    """
    if len(turns) > 2:
        return [tuple(turn for turn in turns if turn % 180.0 == first) for first in (0.0, 90.0)]
    return [turns[:1]] if len(turns) == 2 else []


def tried(turns: Turns) -> tuple[float, ...]:
    """Return the turns that the search tries where any is allowed: quarter turns."""
    return (0.0, 90.0, 180.0, 270.0) if turns is None else turns


def sizes_at(turns: Turns, outline: Contour) -> list[tuple[float, float]]:
    """Return the width and the length of an outline at each turn that the search tries, mm."""
    sizes = []
    for turn in tried(turns):
        left, low, right, high = bounds(placed(outline, Pose(turn_deg=turn)))
        sizes.append((right - left, high - low))
    return sizes
