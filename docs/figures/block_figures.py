"""The blocks of docs/geometry.md: `python docs/figures/block_figures.py` writes them beside itself."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

from cutfiles.core.units import MM_PER_INCH
from cutfiles.geometry.outline import Circle, Contour, chords, line, ring
from cutfiles.geometry.pose import Pose, placed
from cutfiles.job.model.job import Setting
from cutfiles.pieces.plate_shapes import background_shape, blade_shape, blade_shapes_of, centre_shape_of
from cutfiles.plate.blade import Blade
from cutfiles.plate.finished import blade_turns_deg, finished_bands, finished_blade, finished_centre
from cutfiles.plate.plate import Background, Centre, Plate
from cutfiles.plate.strips import marks_end_for_end, marks_one_way, wedges_of
from cutfiles.tips.registry import Tip

IN = MM_PER_INCH
HERE = Path(__file__).parent
BLADE = Blade(20, 1.25 * IN, 4.75 * IN, 0.25 * IN, Tip.FOLDED)
CENTRE = Centre(BLADE.opening_radius_mm + IN / 4, BLADE.opening_radius_mm + IN / 2)
CUT = 'fill="none" stroke="#CC79A7" stroke-width="0.8"'
SEWN = 'fill="none" stroke="#0072B2" stroke-width="0.6" stroke-dasharray="3 1.5"'
BLOCK = 'fill="#eef3e6" stroke="#555" stroke-width="0.6"'
CLOTH = 'fill="#0072B2" fill-opacity="0.12" stroke="#0072B2" stroke-width="0.5"'
WORDS = 6.0


def drawn(contour: Contour, style: str) -> str:
    """Return an outline as a polygon, y up."""
    if isinstance(contour, Circle):
        return f'<circle cx="{contour.x:.2f}" cy="{-contour.y:.2f}" r="{contour.radius:.2f}" {style}/>'
    points = " ".join(f"{x:.2f},{-y:.2f}" for x, y in chords(contour, stray_mm=0.05))
    return f'<{"polygon" if contour.closed else "polyline"} points="{points}" {style}/>'


def text(x: float, y: float, words: str, anchor: str = "start") -> str:
    """Return words at a place, y up."""
    return f'<text x="{x:.2f}" y="{-y:.2f}" text-anchor="{anchor}">{words}</text>'


def measure(low: tuple[float, float], high: tuple[float, float], words: str) -> list[str]:
    """Return a dimension line, across or up, with its words."""
    style = 'stroke="#555" stroke-width="0.4"'
    across = low[1] == high[1]
    tick = (0.0, 2.0) if across else (2.0, 0.0)
    lines = [f'<path d="M{low[0]:.2f} {-low[1]:.2f}L{high[0]:.2f} {-high[1]:.2f}" {style}/>']
    for x, y in (low, high):
        lines.append(f'<path d="M{x - tick[0]:.2f} {-y - tick[1]:.2f}l{2 * tick[0]} {2 * tick[1]}" {style}/>')
    middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
    spot = (middle[0], middle[1] - WORDS - 2) if across else (middle[0] + 3, middle[1] - 2)
    return [*lines, text(*spot, words, "middle" if across else "start")]


def picture(name: str, box: tuple[float, float, float, float], parts: list[str]) -> None:
    """Write a figure: left, low, right and high of what is seen, y up."""
    left, low, right, high = box
    wide, tall = right - left, high - low
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{left:g} {-high:g} {wide:g} {tall:g}" '
        f'width="{3 * wide:g}" height="{3 * tall:g}" font-family="sans-serif" font-size="{WORDS:g}" '
        f'fill="#222"><rect x="{left:g}" y="{-high:g}" width="{wide:g}" height="{tall:g}" fill="#fff"/>'
    )
    (HERE / name).write_text("\n".join([head, *parts, "</svg>", ""]), encoding="utf-8")


def rectangle(box: tuple[float, float, float, float]) -> Contour:
    """Return a box as an outline."""
    left, low, right, high = box
    return ring((left, low), (right, low), (right, high), (left, high))


def fan(setting: Setting, background: Background) -> list[str]:
    """Return the block of a fan: cut edges, seams, and what is sewn."""
    plate = Plate(1, BLADE, 20 // setting.share, CENTRE, background, setting)
    parts = [drawn(background_shape(plate).cut, BLOCK), drawn(rectangle(background.finished), SEWN)]
    for turn in blade_turns_deg(plate):
        parts.append(drawn(placed(finished_blade(BLADE), Pose(turn_deg=turn)), CLOTH))
    outer = (blade_turns_deg(plate)[0], blade_turns_deg(plate)[-1])
    parts += [drawn(placed(blade_shape(BLADE).cut, Pose(turn_deg=turn)), CUT) for turn in outer]
    parts += [
        drawn(finished_centre(plate), 'fill="#e8b76a" fill-opacity="0.6" stroke="#222" stroke-width="0.5"')
    ]
    return [*parts, drawn(centre_shape_of(plate).cut, CUT)]


def corner() -> None:
    """A quarter in a corner: margins and seams from the plate centre out."""
    seam, tip, side = BLADE.seam_mm, BLADE.tip_radius_mm, 6.25 * IN
    parts = fan(
        Setting.CORNER,
        Background((-seam, -seam, side + seam, side + seam), (0.0, 0.0, side, side)),
    )
    parts += measure((0.0, -14.0), (tip, -14.0), "rₜ")
    parts += measure((tip, -14.0), (side, -14.0), "margin")
    parts += measure((side + 14, -seam), (side + 14, side + seam), "cut")
    parts += measure((-seam, -32.0), (CENTRE.cut_radius_mm, -32.0), "rᵢ/cos a + cover + turn + s")
    picture("corner.svg", (-20.0, -48.0, 195.0, 172.0), parts)


def edge() -> None:
    """Half a circle on an edge."""
    seam, half = BLADE.seam_mm, 6.25 * IN
    parts = fan(
        Setting.EDGE,
        Background((-half - seam, -seam, half + seam, half + seam), (-half, 0.0, half, half)),
    )
    tip = BLADE.tip_radius_mm
    parts += measure((-tip, -14.0), (tip, -14.0), "2·rₜ")
    parts += measure((tip, -14.0), (half, -14.0), "margin")
    parts += measure((half + 14, -seam), (half + 14, half + seam), "cut")
    picture("edge.svg", (-172.0, -30.0, 195.0, 172.0), parts)


def lengths() -> None:
    """A long blade beside two short ones: the step between their valleys."""
    short = replace(BLADE, length_mm=4.25 * IN)
    step = 2 * BLADE.half_angle_deg
    parts = [
        drawn(placed(finished_blade(one), Pose(turn_deg=turn)), CLOTH)
        for one, turn in ((short, step), (BLADE, 0.0), (short, -step))
    ]
    a, seam = BLADE.half_angle_rad, BLADE.seam_mm
    low, high = short.valley_radius_mm, BLADE.valley_radius_mm
    right = [(r * math.sin(a), r * math.cos(a)) for r in (low, high)]
    raw = 'fill="none" stroke="#D55E00" stroke-width="1.6"'
    parts.append(drawn(line(*right), raw))
    parts.append(drawn(placed(blade_shape(BLADE).cut, Pose()), CUT))
    (x, y), (x_high, y_high) = right
    parts.append(text(x_high + seam + 6, (y + y_high) / 2 + 6, "Δr/(cos a + sin a), raw"))
    parts.append(
        f'<path d="M{x + 1:.2f} {-(y + y_high) / 2:.2f}L{x_high + seam + 5:.2f} '
        f'{-(y + y_high) / 2 - 7:.2f}" stroke="#555" stroke-width="0.3"/>'
    )
    picture("lengths.svg", (-60.0, 20.0, 130.0, 160.0), parts)


def bands() -> None:
    """The two bands of a blade as they are cut, one above the other, and where they are joined."""
    plate = Plate(1, BLADE, 20, None, None, bands_mm=(3.5 * IN,))
    inner, outer = blade_shapes_of(plate)
    apart = Pose(0.0, 30.0)
    parts = [drawn(inner.cut, CUT), drawn(placed(outer.cut, apart), CUT)]
    pieces = finished_bands(plate)
    parts += [drawn(pieces[0], CLOTH), drawn(placed(pieces[1], apart), CLOTH)]
    at, seam = plate.bands_mm[0], BLADE.seam_mm
    half = BLADE.cut_half_width_mm(at)
    parts += [drawn(line((-half, level), (half, level)), SEWN) for level in (at, at + 30.0)]
    low, high = BLADE.inner_radius_mm, BLADE.outer_radius_mm + 30
    parts += measure((42.0, low), (42.0, at + seam), "b − rᵢ + s")
    parts += measure((42.0, at - seam + 30), (42.0, high), "rₒ − b + s")
    picture("bands.svg", (-45.0, 22.0, 90.0, 190.0), parts)


def centres() -> None:
    """A gathered circle and a yo-yo of one finished size."""
    finished, turn = CENTRE.finished_radius_mm, 0.25 * IN
    parts: list[str] = []
    for middle, fold, words in ((0.0, finished, "gathered"), (140.0, 2 * finished, "yo-yo")):
        parts.append(drawn(Circle(middle, 0.0, fold + turn), CUT))
        parts.append(drawn(Circle(middle, 0.0, fold), SEWN))
        parts.append(drawn(Circle(middle, 0.0, finished), 'fill="#e8b76a" fill-opacity="0.6" stroke="#222"'))
        parts.append(text(middle, -2.0, words, "middle"))
        parts += measure((middle - finished, -92.0), (middle + finished, -92.0), "d")
        cut = "d + 2·turn" if fold == finished else "2·d + 2·turn"
        parts += measure((middle - fold - turn, -108.0), (middle + fold + turn, -108.0), cut)
    picture("centres.svg", (-60.0, -122.0, 235.0, 92.0), parts)


def strip() -> None:
    """Four blades end for end, and below three one way, with the first marks."""
    wedge = wedges_of(Plate(1, BLADE, 20, None, None))["blade"]
    wide, narrow, high = wedge.wide_width_mm, wedge.narrow_width_mm, wedge.height_mm
    parts: list[str] = []
    rows = (
        (0.0, marks_end_for_end(wedge, 4), 1, ("0", "W", "W + N", "2W + N", "2W + 2N")),
        (-high - 46.0, marks_one_way(wedge, 3), 2, ("0", "W", "", "2W", "", "3W")),
    )
    for low, marks, step, above in rows:
        cuts = list(zip(marks.top_mm, marks.bottom_mm, strict=True))
        parts.append(drawn(rectangle((-6.0, low, 216.0, low + high)), BLOCK))
        for first, second in list(pairwise(cuts))[::step]:
            piece = ((first[0], low + high), (first[1], low), (second[1], low), (second[0], low + high))
            parts.append(drawn(ring(*piece), CLOTH))
        for top, bottom in cuts:
            parts.append(drawn(line((top, low + high), (bottom, low)), CUT))
        for place, (at, words) in enumerate(zip(marks.top_mm, above, strict=True), start=1):
            parts.append(text(at, low + high + 3.0, words, "start" if place == 5 else "middle"))
    first, second = (wide - narrow) / 2, (wide + narrow) / 2
    parts += measure((-0.0, -6.0), (first, -6.0), "(W − N)/2")
    parts += measure((first, -20.0), (second, -20.0), "N")
    parts += measure((second, -6.0), (second + wide, -6.0), "W")
    parts += measure((-14.0, 0.0), (-14.0, high), "L")
    picture("strip.svg", (-24.0, -high - 52.0, 222.0, high + 12.0), parts)


if __name__ == "__main__":
    strip()
    corner()
    edge()
    lengths()
    centres()
    bands()
