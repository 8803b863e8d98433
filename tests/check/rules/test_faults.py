"""Each fault in each format gives its code and no other; the file without it gives none."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from cutfiles.check.check import check_paths
from tests.check.drawings import (
    WRITTEN,
    Layout,
    Line,
    LineDrawing,
    codes_of,
    cut_first,
    drawing_of,
    edited,
    piece,
    stroke,
    usual_layout,
    write_folder,
)

Change = Callable[[LineDrawing], None]
LayoutChange = Callable[[Layout], None]


def _pieces(layout: Layout) -> dict[str, Layout]:
    return {entry["id"]: entry for fabric in layout["loads"][0]["fabrics"] for entry in fabric["pieces"]}


def _put(name: str, **values: float | bool) -> LayoutChange:
    return lambda layout: _pieces(layout)[name].update(values)


def _fabric(index: int, **values: object) -> LayoutChange:
    return lambda layout: layout["loads"][0]["fabrics"][index].update(values)


def _put_shape(name: str, vertices: list[list[float]]) -> LayoutChange:
    def apply(layout: Layout) -> None:
        shape = next(shape for shape in layout["shapes"] if shape["name"] == name)
        shape["cut"] = {"vertices": [[*vertex, 0] for vertex in vertices]}

    return apply


def _touching_corners(layout: Layout) -> None:
    _pieces(layout)["tide-flag-002"].update(x_mm=110)
    _pieces(layout)["tide-tab-002"].update(x_mm=50, y_mm=60)


def _with_dot(layout: Layout) -> None:
    layout["loads"][0]["fabrics"][0]["pieces"].insert(0, piece("tide-dot-001", 60, 90))


def _near_the_mat_s_edge(layout: Layout) -> None:
    layout["loads"][0]["fabrics"][1].update(x_mm=218, width_mm=60, length_mm=80)
    _pieces(layout)["shingle-tab-001"].update(x_mm=275.02, y_mm=40, turn_deg=0)


def _mirrored_in_layout(layout: Layout) -> None:
    _pieces(layout)["tide-flag-002"].update(mirrored=True, x_mm=70)


def _on_its_back(layout: Layout) -> None:
    """Wrong side up, all flags would have to be mirrored: that none is, is nobody's majority."""
    for fabric in layout["loads"][0]["fabrics"]:
        fabric["face"] = "wrong side up" if fabric["fabric"] == "tide" else "right side up"


def _off_mat_and_fabric(layout: Layout) -> None:
    _near_the_mat_s_edge(layout)
    _fabric(1, length_mm=76)(layout)


# Broken in the layout, and the files say the same.
IN_BOTH: dict[str, tuple[str, LayoutChange]] = {
    "an edge on another's": ("doubled-cut", _put("tide-tab-002", x_mm=50, y_mm=90)),
    "a hundredth inside the gap": ("too-near", _put("tide-tab-002", x_mm=50.99)),
    "touching corners": ("too-near", _touching_corners),
    "an arc inside the gap": ("too-near", _put("tide-disc-001", x_mm=81.98, y_mm=90)),
    "two over each other": ("crossing-cuts", _put("tide-tab-002", x_mm=49.99)),
    "two half over each other": ("crossing-cuts", _put("tide-tab-002", x_mm=40, y_mm=90)),
    "one in another": ("piece-in-piece", _with_dot),
    "a hundredth into the margin": ("off-fabric", _put("tide-tab-002", y_mm=98.01)),
    "an arc into the margin": ("off-fabric", _put("tide-disc-001", x_mm=148.01)),
    "a hundredth beyond the reach": ("off-mat", _near_the_mat_s_edge),
    "beyond reach and fabric": ("off-mat", _off_mat_and_fabric),  # the one says it all
    "turned against the grain": ("forbidden-turn", _put("tide-flag-002", turn_deg=90)),
    "a degree off the grain": ("forbidden-turn", _put("tide-flag-002", turn_deg=181)),
    "one flag mirrored": ("mirrored-piece", _mirrored_in_layout),
    "none mirrored on its back": ("mirrored-piece", _on_its_back),
    "a fabric under a mark": ("mark-on-fabric", _fabric(1, x_mm=195, y_mm=10, length_mm=99)),
    "an outline that crosses itself": (
        "self-crossing",
        _put_shape("tab", [[0, 0], [20, 0], [0, 20], [20, 20.5]]),
    ),
}


@pytest.mark.parametrize("suffix", WRITTEN)
@pytest.mark.parametrize("fault", IN_BOTH)
def test_a_fault_of_the_nest_is_found_in_layout_and_file(tmp_path: Path, fault: str, suffix: str) -> None:
    """The file is as wrong as the layout that it was written from."""
    code, change = IN_BOTH[fault]
    layout = usual_layout()
    change(layout)
    report = check_paths([write_folder(tmp_path, layout, {suffix: WRITTEN[suffix](drawing_of(layout))})])
    assert {finding.code for finding in report.findings} == {code}
    if code not in ("forbidden-turn", "mirrored-piece"):  # the file is as the layout has it
        assert f"load-01.{suffix}" in {Path(finding.file).name for finding in report.findings}


def _corners(name: str, index: int, corner: tuple[float, float, float]) -> Change:
    def change(line: Line) -> Line:
        corners = list(line.corners)
        corners[index] = corner
        return replace(line, corners=tuple(corners))

    return edited(name, change)


def _turned(line: Line, turn_deg: float) -> Line:
    """Turn about the middle of the corners."""
    middle_x = sum(x for x, _, _ in line.corners) / len(line.corners)
    middle_y = sum(y for _, y, _ in line.corners) / len(line.corners)
    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    return replace(
        line,
        corners=tuple(
            (
                middle_x + (x - middle_x) * cos - (y - middle_y) * sin,
                middle_y + (x - middle_x) * sin + (y - middle_y) * cos,
                bulge,
            )
            for x, y, bulge in line.corners
        ),
    )


def _flipped(line: Line) -> Line:
    middle_x = sum(x for x, _, _ in line.corners) / len(line.corners)
    return replace(line, corners=tuple((2 * middle_x - x, y, -bulge) for x, y, bulge in line.corners))


def _without(*layers: str) -> Change:
    def apply(drawing: LineDrawing) -> None:
        drawing.lines = [line for line in drawing.lines if line.layer not in layers]

    return apply


def _add(*lines: Line) -> Change:
    def apply(drawing: LineDrawing) -> None:
        for line in lines:
            # Next to its own kind, so that the order stays right.
            last = max((i for i, drawn in enumerate(drawing.lines) if drawn.layer == line.layer), default=-1)
            drawing.lines.insert(last + 1 or len(drawing.lines), line)

    return apply


def _mark_last(drawing: LineDrawing) -> None:
    drawing.lines.sort(key=lambda line: ["draw", "cut", "register"].index(line.layer))


SQUARE = ((250, 150, 0), (270, 150, 0), (270, 170, 0), (250, 170, 0))
SQUARE_TAB = ((51, 80, 0), (71, 80, 0), (71, 100, 0), (51, 100, 0))

# Broken in the file alone.
IN_FILE: dict[str, tuple[str, Change]] = {
    "an edge short": ("open-outline", edited("tide-tab-002", lambda line: replace(line, closed=False))),
    "ends a hundredth apart": (
        "open-outline",
        edited(
            "tide-tab-002", lambda line: replace(line, corners=(*SQUARE_TAB, (51, 80.01, 0)), closed=False)
        ),
    ),
    "a line drawn on one spot": ("zero-length", _add(stroke("draw", (30, 30), (30, 30)))),
    "an outline of one spot": ("zero-length", _add(stroke("cut", (200, 150), (200, 150), (200, 150)))),
    "a corner given twice": (
        "zero-length",
        edited("tide-tab-002", lambda line: replace(line, corners=(line.corners[0], *line.corners))),
    ),
    "an outline twice": ("doubled-cut", lambda s: _add(replace(s.lines[s.at("tide-tab-002")], name=""))(s)),
    "a circle twice": ("doubled-cut", lambda s: _add(replace(s.lines[s.at("tide-disc-001")], name=""))(s)),
    "a piece left out": (
        "missing-piece",
        lambda drawing: drawing.lines.remove(drawing.lines[drawing.at("tide-tab-002")]),
    ),
    "a piece too many": ("extra-piece", _add(Line("cut", "tide-tab-009", SQUARE))),
    "a corner off by a hundredth": ("wrong-shape", _corners("tide-tab-002", 2, (71.01, 100, 0))),
    "an arc made straight": (
        "wrong-shape",
        edited(
            "tide-flag-002", lambda line: replace(line, corners=tuple((x, y, 0) for x, y, _ in line.corners))
        ),
    ),
    "an arc too flat": (
        "wrong-shape",
        edited(
            "tide-flag-002",
            lambda line: replace(line, corners=tuple((x, y, b * 0.998) for x, y, b in line.corners)),
        ),
    ),
    "a circle too large": (
        "wrong-shape",
        edited("tide-disc-001", lambda line: replace(line, corners=((130, 40, 10.01),))),
    ),
    "moved by a hundredth": ("wrong-place", edited("tide-tab-002", lambda line: line.moved(0.01, 0))),
    "a circle moved": ("wrong-place", edited("tide-disc-001", lambda line: line.moved(0, 0.01))),
    "turned end for end": (
        "wrong-place",
        edited("tide-flag-002", lambda line: _turned(line, 180)),
    ),
    "turned off the grain": ("forbidden-turn", edited("tide-flag-002", lambda line: _turned(line, 0.5))),
    "turned by a quarter": ("forbidden-turn", edited("tide-flag-002", lambda line: _turned(line, 90))),
    "flipped": ("mirrored-piece", edited("tide-flag-002", _flipped)),
    "drawn beside its piece": ("stray-mark", _add(stroke("draw", (100, 90), (110, 90)))),
    "drawn a hundredth beyond the edge": ("stray-mark", _add(stroke("draw", (55, 90), (71.01, 90)))),
    "drawn across two pieces": ("stray-mark", _add(stroke("draw", (40, 82), (60, 82)))),
    "a mark on fabric": ("mark-on-fabric", _add(stroke("register", (100, 110), (110, 110)))),
    "a mark beyond the reach": ("off-mat", _add(stroke("register", (4.99, 150), (9, 150)))),
    "no register marks": ("missing-register", _without("register")),
    "a layer of its own": ("unknown-layer", _add(Line("etch", "", SQUARE))),
    "cut before drawing": ("wrong-order", cut_first),
    "cut before marking": ("wrong-order", _mark_last),
    "a wider mat": ("mat-size", lambda drawing: setattr(drawing, "width", 300.01)),
    "a coordinate a kilometre off": ("huge-number", _add(stroke("draw", (30, 30), (1e6, 30)))),
}


@pytest.mark.parametrize("suffix", WRITTEN)
@pytest.mark.parametrize("fault", IN_FILE)
def test_a_fault_of_a_file_has_its_code(tmp_path: Path, fault: str, suffix: str) -> None:
    """One thing broken gives one code, in either format."""
    code, change = IN_FILE[fault]
    drawing = drawing_of(usual_layout())
    change(drawing)
    assert codes_of(write_folder(tmp_path, usual_layout(), {suffix: WRITTEN[suffix](drawing)})) == {code}


def test_untouched_files_have_no_fault(tmp_path: Path) -> None:
    """Pieces the gap apart, marks from edge to edge and a turned fabric are all well."""
    layout = usual_layout()
    texts = {suffix: written(drawing_of(layout)) for suffix, written in WRITTEN.items()}
    report = check_paths([write_folder(tmp_path, layout, texts)])
    assert report.findings == ()
    assert (report.files, report.pieces) == (2, 6)
    assert report.summary() == "no faults: 2 files, 6 pieces"


@pytest.mark.parametrize("suffix", WRITTEN)
def test_a_file_with_nothing_to_cut_is_told_so(tmp_path: Path, suffix: str) -> None:
    """An empty cut layer is never right."""
    drawing = drawing_of(usual_layout())
    _without("cut", "draw")(drawing)
    (tmp_path / f"alone.{suffix}").write_text(WRITTEN[suffix](drawing))
    assert codes_of(tmp_path) == {"nothing-to-cut"}


@pytest.mark.parametrize("suffix", WRITTEN)
def test_an_outline_may_start_anywhere_and_run_either_way(tmp_path: Path, suffix: str) -> None:
    """Another order of corners is the same cut."""
    drawing = drawing_of(usual_layout())
    index = drawing.at("tide-flag-002")
    corners = drawing.lines[index].corners
    back = [(x, y, -corners[position - 1][2]) for position, (x, y, _) in enumerate(corners)][::-1]
    drawing.lines[index] = replace(drawing.lines[index], corners=tuple(back[1:] + back[:1]))
    assert codes_of(write_folder(tmp_path, usual_layout(), {suffix: WRITTEN[suffix](drawing)})) == set()


@pytest.mark.parametrize("suffix", WRITTEN)
def test_a_piece_that_the_layout_mirrors_is_to_be_mirrored(tmp_path: Path, suffix: str) -> None:
    """Moved, it is in the wrong place; not mirrored, it is a mirror image."""
    layout = usual_layout()
    _put("tide-flag-001", mirrored=True, x_mm=55)(layout)  # the tabs are their own mirror images
    _put("tide-flag-002", mirrored=True, x_mm=70)(layout)
    for change, codes in (
        (lambda line: line, set()),
        (lambda line: line.moved(0.01, 0), {"wrong-place"}),
        (_flipped, {"mirrored-piece"}),
    ):
        drawing = drawing_of(layout)
        drawing.lines = [line for line in drawing.lines if line.layer != "draw"]
        edited("tide-flag-002", change)(drawing)
        assert codes_of(write_folder(tmp_path, layout, {suffix: WRITTEN[suffix](drawing)})) == codes


def test_pieces_that_begin_at_one_corner_are_each_found(tmp_path: Path) -> None:
    """A dot in the corner of a tab: where they lie is wrong, but both are there."""
    layout = usual_layout()
    layout["loads"][0]["fabrics"][0]["pieces"].append(piece("tide-dot-001", 32, 82))
    write_folder(tmp_path, layout, {suffix: write(drawing_of(layout)) for suffix, write in WRITTEN.items()})
    assert codes_of(tmp_path) == {"piece-in-piece", "inner-after-outer"}
