"""SVG path commands as points, read without the code that wrote them."""

from __future__ import annotations

import math
import re

Point = tuple[float, float]
_COMMAND = re.compile(r"([ML])([\d.-]+) ([\d.-]+)|A([\d.-]+) \S+ 0 ([01]) ([01]) ([\d.-]+) ([\d.-]+)")


def path_points(commands: str) -> list[Point]:
    """Return points all along a path of M, L and A, in its own coordinates."""
    here, points = (0.0, 0.0), []
    for match in _COMMAND.finditer(commands):
        end = (float(match[2] or match[7]), float(match[3] or match[8]))
        if match[4]:
            points += arc_points(here, end, float(match[4]), large=match[5] == "1", ccw=match[6] == "1")
        points.append(end)
        here = end
    return points


def arc_points(
    start: tuple[float, float], end: tuple[float, float], radius: float, *, large: bool, ccw: bool
) -> list[tuple[float, float]]:
    """Points along an SVG arc whose y points up, after the SVG 1.1 notes on implementation, F.6.5."""
    (x1, y1), (x2, y2) = start, end
    chord = math.dist(start, end)
    aside = math.sqrt(max(0.0, radius**2 - chord**2 / 4)) * (1 if large != ccw else -1)
    x = (x1 + x2) / 2 - aside * (y2 - y1) / chord
    y = (y1 + y2) / 2 + aside * (x2 - x1) / chord
    first, last = math.atan2(y1 - y, x1 - x), math.atan2(y2 - y, x2 - x)
    sweep = (last - first) % math.tau if ccw else -((first - last) % math.tau)
    turns = [first + sweep * step / 2000 for step in range(2001)]
    return [(x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns]
