"""The figure of docs/geometry.md: `python docs/figures/blade_figure.py > docs/figures/blade.svg`."""

from __future__ import annotations

import math
import sys

from cutfiles.job.model.job import Tip
from cutfiles.plate.blade import Blade

BLADE = Blade(blades=10, inner_radius_mm=35.0, length_mm=110.0, seam_mm=9.0, tip=Tip.FOLDED)
WIDE, HIGH, FOOT = 230.0, 185.0, 170.0  # the picture, and where the plate's centre lies in it
MIDDLE = 90.0


def _at(x: float, y: float) -> str:
    return f"{MIDDLE + x:.2f},{FOOT - y:.2f}"


def _line(points: list[tuple[float, float]], style: str) -> str:
    return f'<polyline points="{" ".join(_at(*point) for point in points)}" {style}/>'


def _text(x: float, y: float, words: str, anchor: str = "start") -> str:
    return f'<text x="{MIDDLE + x:.2f}" y="{FOOT - y:.2f}" text-anchor="{anchor}">{words}</text>'


def _measure(x: float, low: float, high: float, words: str) -> list[str]:
    style = 'stroke="#555" stroke-width="0.3"'
    ends = [_line([(x - 1.5, y), (x + 1.5, y)], style) for y in (low, high)]
    return [_line([(x, low), (x, high)], style), *ends, _text(x + 2, (low + high) / 2 - 1.5, words)]


def figure() -> str:
    """Return the figure as SVG."""
    blade = BLADE
    a = blade.half_angle_rad
    low, high, tip = blade.inner_radius_mm, blade.outer_radius_mm, blade.tip_radius_mm
    narrow, wide = blade.cut_half_width_mm(low), blade.cut_half_width_mm(high)
    valley = (blade.valley_radius_mm * math.sin(a), blade.valley_radius_mm * math.cos(a))
    parts = [
        _line(
            [(-narrow, low), (narrow, low), (wide, high), (-wide, high), (-narrow, low)],
            'fill="#f6ecf2" stroke="#CC79A7" stroke-width="0.8"',
        ),
        _line(
            [(0, 0), valley, (0, tip), (-valley[0], valley[1]), (0, 0)],
            'fill="#0072B2" fill-opacity="0.1" stroke="none"',
        ),
    ]
    blue = 'fill="none" stroke="#0072B2" stroke-width="0.5"'
    for side in (-1, 1):
        parts.append(_line([(0, 0), (side * high * math.tan(a), high)], f'{blue} stroke-dasharray="3 1.5"'))
        parts.append(_line([(side * valley[0], valley[1]), (0, tip)], 'fill="none" stroke="#0072B2"'))
    half = blade.cut_half_width_mm(tip)
    parts.append(_line([(-half, tip), (half, tip)], blue))
    parts.append(
        _line([(0, -6), (0, high + 6)], 'stroke="#555" stroke-width="0.3" stroke-dasharray="6 1.5 1 1.5"')
    )
    parts.append(f'<circle cx="{MIDDLE:.2f}" cy="{FOOT:.2f}" r="1" fill="#222"/>')
    parts.append(_text(-3, -4, "plate centre", "end"))
    parts += _measure(70, 0, low, "rᵢ")
    parts += _measure(70, low, high, "L")
    parts += _measure(86, 0, tip, "rₜ")
    parts += _measure(102, 0, high, "rₒ")
    grey = 'stroke="#bbb" stroke-width="0.2"'
    parts += [_line([(narrow + 1, low), (72, low)], grey), _line([(wide + 1, high), (104, high)], grey)]
    parts += [_line([(1, tip), (88, tip)], grey), _line([(2, 0), (104, 0)], grey)]
    parts.append(_text(-wide - 3, 95, "cut edge", "end"))
    parts.append(_line([(-wide - 2, 96.5), (-blade.cut_half_width_mm(92), 92)], grey))
    parts.append(_text(-wide - 3, 70, "sew line", "end"))
    parts.append(_line([(-wide - 2, 71.5), (-62 * math.tan(a), 62)], grey))
    parts.append(_text(-wide - 3, 118, "valley", "end"))
    parts.append(_line([(-wide - 2, 119.5), (-valley[0] - 0.5, valley[1])], grey))
    arc = [(24 * math.sin(t * a / 8), 24 * math.cos(t * a / 8)) for t in range(9)]
    parts.append(_line(arc, 'fill="none" stroke="#555" stroke-width="0.3"'))
    parts.append(_text(2.2, 14.5, "a"))
    # The seam, square to the sew line.
    foot, out = 55.0, blade.seam_mm
    start = (foot * math.sin(a), foot * math.cos(a))
    end = (start[0] + out * math.cos(a), start[1] - out * math.sin(a))
    parts.append(_line([start, end], 'stroke="#D55E00" stroke-width="0.6"'))
    parts.append(_text(end[0] + 2, end[1] - 2, "s"))
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {HIGH:g}" width="690" height="555" '
        'font-family="sans-serif" font-size="5.5" fill="#222">'
        f'<rect width="{WIDE:g}" height="{HIGH:g}" fill="#fff"/>'
    )
    return "\n".join([head, *parts, "</svg>", ""])


if __name__ == "__main__":
    sys.stdout.write(figure())
