"""Every planted fault in every format in which it can exist; the table of docs/checks.md is this one."""

from __future__ import annotations

import copy
import math
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from cutfiles.check.check import check_paths
from cutfiles.formats.registry import FORMATS as REGISTRY
from tests.check.drawings import (
    Layout,
    Line,
    LineDrawing,
    cut_first,
    drawing_of,
    edited,
    piece,
    stroke,
    usual_layout,
    write_folder,
)
from tests.check.more_formats import FORMATS

DOCS = Path(__file__).parents[3] / "docs" / "checks.md"
SheetChange = Callable[[LineDrawing], None]
TextChange = Callable[[str], str]
NAMES = {kind.suffix[1:]: kind.title for kind in REGISTRY.values()}


@dataclass(frozen=True)
class Plant:
    """A fault: how it is planted in the lines or in the text, its code, and where it can't exist and why."""

    code: str
    lines: SheetChange | None = None
    text: dict[str, TextChange] | None = None
    never: dict[str, str] | None = None


def _scaled(factor: float) -> SheetChange:
    def change(drawing: LineDrawing) -> None:
        drawing.lines = [
            replace(
                line,
                corners=tuple(
                    (x * factor, y * factor, b * (factor if line.circle else 1)) for x, y, b in line.corners
                ),
            )
            for line in drawing.lines
        ]

    return change


def _about_middle(line: Line, change: Callable[[complex], complex], *, mirrors: bool = False) -> Line:
    middle = sum(complex(x, y) for x, y, _ in line.corners) / len(line.corners)
    corners = []
    for x, y, bulge in line.corners:
        point = change(complex(x, y) - middle) + middle
        corners.append((point.real, point.imag, -bulge if mirrors else bulge))
    return replace(line, corners=tuple(corners))


def _add(line: Line, *, last: bool = False) -> SheetChange:
    def apply(drawing: LineDrawing) -> None:
        same = [index for index, drawn in enumerate(drawing.lines) if drawn.layer == line.layer]
        drawing.lines.insert(same[-1] + 1 if last else same[0], line)

    return apply


def _swap_layers(drawing: LineDrawing) -> None:
    other = {"cut": "draw", "draw": "cut"}
    swapped = [replace(line, layer=other.get(line.layer, line.layer)) for line in drawing.lines]
    drawing.lines = sorted(swapped, key=lambda line: ["draw", "register", "cut"].index(line.layer))


def _broken_curve(line: Line) -> Line:
    """The one arc of the flag as two hundred straight edges."""
    (x, y, bulge), (to_x, to_y, _) = line.corners[2:4]
    sweep, chord = 4 * math.atan(bulge), complex(to_x - x, to_y - y)
    centre = complex(x, y) + chord / 2 + 1j * chord / 2 / math.tan(sweep / 2)
    arm = complex(x, y) - centre
    turns = (sweep * step / 200 for step in range(200))
    points = [centre + arm * complex(math.cos(turn), math.sin(turn)) for turn in turns]
    corners = [(point.real, point.imag, 0.0) for point in points]
    return replace(line, corners=(*line.corners[:2], *corners, line.corners[3]))


def _another_job(drawing: LineDrawing) -> None:
    kite = ((0, 0, 0), (9, 14, 0), (0, 33, 0), (-9, 14, 0))
    drawing.lines = [line for line in drawing.lines if line.layer != "cut"]
    for number in range(5):
        corners = tuple((x + 40 + 22 * number, y + 40, b) for x, y, b in kite)
        drawing.lines.append(Line("cut", f"tide-tab-{number:03d}", corners))


def _swap(old: str, new: str) -> TextChange:
    def change(text: str) -> str:
        assert re.search(old, text), old
        return re.sub(old, new, text, count=1)

    return change


def _ends_at(mark: str) -> TextChange:
    """Cut short behind the last such text but one: in the middle of a line."""
    return lambda text: text[: text.rindex(mark, 0, text.rindex(mark)) + len(mark)]


_NO_UNIT = "R12 has no unit; a note says so"
_FIXED = "its unit is fixed"
_TURN = complex(0, 1)
_PATTERN = "it has no order to run"
_PAPER = "paper has no order to run"
_NO_LAYERS, _NO_PAGES, _IS_FLAT = "it has no layers", "it has no pages", "it is flat"
_NO_TABLE, _NO_COUNT = "it has no table of layers", "its lines don't say how many corners they have"
_POLYLINES = {
    "dxf": r"  0\nLWPOLYLINE\n  8\nCUT\n",
    "r12.dxf": r"  0\nPOLYLINE\n  8\nCUT\n",
    "sewn.dxf": r"  0\nPOLYLINE\n  8\n1\n",
}


def _said(more: str, **others: TextChange) -> dict[str, TextChange]:
    """Group codes said of the first outline of every DXF, and changes of other formats."""
    return {
        **{suffix: _swap(f"({old})", rf"\g<1>{more}") for suffix, old in _POLYLINES.items()},
        **others,
    }


def _table(cut: str) -> dict[str, TextChange]:
    """A table of layers in every DXF, with codes of the layer that is cut; without any that isn't in it."""

    def change_for(suffix: str) -> TextChange:
        rest = {"1": 6} if suffix == "sewn.dxf" else {"CUT": 6}
        layers = {"DRAW": 5, "REGISTER": 3, "8": 5, "14": 3, **(rest if cut else {})}
        entries = "".join(
            f"  0\nLAYER\n  2\n{name}\n" + (cut if name in ("CUT", "1") else f" 70\n0\n 62\n{number}\n")
            for name, number in layers.items()
        )
        head = "  0\nSECTION\n  2\nTABLES\n  0\nTABLE\n  2\nLAYER\n"
        table = f"{head}{entries}  0\nENDTAB\n  0\nENDSEC\n"
        return _swap(r"(  0\nSECTION\n  2\n(BLOCKS|ENTITIES)\n)", rf"{table}\g<1>")

    return {suffix: change_for(suffix) for suffix in _POLYLINES}


def _strokes_in_one_colour(text: str) -> str:
    return re.sub(r'<g id="(draw|cut)">', r'<g id="\1" fill="none" stroke="#0072b2">', text)


def _without_sewn(changes: dict[str, TextChange]) -> dict[str, TextChange]:
    return {suffix: change for suffix, change in changes.items() if suffix != "sewn.dxf"}


def _page_again(text: str) -> str:
    return _swap(r"/Kids \[3 0 R 5 0 R\] /Count 2", "/Kids [3 0 R 5 0 R 5 0 R] /Count 3")(text)


_PDF_CUT = r"(/OC /Lcut BDC)"
PLANTS: dict[str, Plant] = {
    "25.4 times too large": Plant("wrong-scale", _scaled(25.4)),
    "scaled by 96/72": Plant("wrong-scale", _scaled(96 / 72)),
    "scaled by 90/96": Plant("wrong-scale", _scaled(90 / 96)),
    "no unit": Plant(
        "true-size",
        text={
            "svg": _swap('width="300mm" height="200mm"', 'width="300" height="200"'),
            "dxf": _swap(r"  9\n\$INSUNITS\n 70\n4\n", ""),
            "pdf": _swap("/PrintScaling /None", "/PrintScaling /AppDefault"),
        },
        never={"r12.dxf": _NO_UNIT, "plt": _FIXED, "sewn.dxf": _NO_UNIT},
    ),
    "open outline": Plant("open-outline", edited("tide-tab-002", lambda line: replace(line, closed=False))),
    "outline cut twice": Plant(
        "doubled-cut",
        lambda drawing: _add(replace(drawing.lines[drawing.at("tide-tab-002")], name=""))(drawing),
    ),
    "crossing outlines": Plant("crossing-cuts", edited("tide-tab-002", lambda line: line.moved(-5, 3))),
    "pieces too near": Plant("too-near", edited("tide-tab-002", lambda line: line.moved(-0.5, 0))),
    "off the mat": Plant("off-mat", edited("shingle-tab-001", lambda line: line.moved(90, 0))),
    "off its fabric": Plant("off-fabric", edited("tide-disc-001", lambda line: line.moved(19, 0))),
    "missing piece": Plant(
        "missing-piece", lambda drawing: drawing.lines.pop(drawing.at("tide-tab-002")) and None
    ),
    "extra piece": Plant(
        "extra-piece",
        _add(Line("cut", "tide-tab-9", ((80, 105, 0), (90, 105, 0), (90, 112, 0), (80, 112, 0))), last=True),
    ),
    "wrong size": Plant(
        "wrong-shape", edited("tide-tab-002", lambda line: _about_middle(line, lambda z: 0.95 * z))
    ),
    "lopsided piece mirrored": Plant(
        "mirrored-piece",
        edited("tide-flag-002", lambda line: _about_middle(line, lambda z: -z.conjugate(), mirrors=True)),
    ),
    "forbidden turn": Plant(
        "forbidden-turn", edited("tide-flag-002", lambda line: _about_middle(line, lambda z: _TURN * z))
    ),
    "drawn outside its piece": Plant("stray-mark", _add(stroke("draw", (100, 90), (110, 90)))),
    "layers swapped": Plant("wrong-layer", _swap_layers),
    "cut before drawn": Plant("wrong-order", cut_first, never={"sewn.dxf": _PATTERN, "pdf": _PAPER}),
    "inner outline cut last": Plant(
        "inner-after-outer", _add(Line("cut", "", ((60, 90, 4),), circle=True), last=True)
    ),
    "curve of needless points": Plant("needless-points", edited("tide-flag-001", _broken_curve)),
    "stroke of no length": Plant("zero-length", _add(stroke("draw", (30, 30), (30, 30)))),
    "not a number": Plant(
        "not-a-number",
        text={
            "svg": _swap('points="28,', 'points="NaN,'),
            "plt": _swap("PU1120,", "PUnan,"),
            "pdf": _swap(r"\n[0-9.]+ [0-9.]+ m\n", "\nnan 9 m\n"),
            **dict.fromkeys(("dxf", "r12.dxf", "sewn.dxf"), _swap(r" 10\n28(\.0+)?\n", " 10\nnan\n")),
        },
    ),
    "not ASCII": Plant(
        "not-ascii",
        text={
            "plt": _swap("PA;", "PA;·"),
            **dict.fromkeys(("dxf", "r12.dxf", "sewn.dxf"), lambda text: f"999\nfür den Hafen\n{text}"),
        },
        never={"svg": "XML may hold any sign", "pdf": "PDF may hold any byte"},
    ),
    "cut short": Plant(
        "unreadable",
        text={
            "svg": _ends_at('points="'),
            "plt": _ends_at("PD"),
            "pdf": _ends_at(" l"),
            **dict.fromkeys(("dxf", "r12.dxf", "sewn.dxf"), _ends_at(" 10\n")),
        },
    ),
    "file of another job": Plant("other-job", _another_job),
    "line that isn't shown": Plant(
        "hidden",
        text=_said(
            " 60\n1\n",
            svg=_swap('(id="tide-tab-002")', r'\1 display="none"'),
            pdf=_swap(_PDF_CUT, r"\1\n1 1 1 RG"),
        ),
        never={"plt": "a plotter draws all that it is told"},
    ),
    "layer that isn't shown": Plant(
        "hidden",
        text={
            **_table(" 70\n0\n 62\n-6\n"),
            "svg": _swap('(<g id="cut")', r'\1 visibility="hidden"'),
            "pdf": _swap("/D << >>", "/D << /OFF [9 0 R] >>"),
        },
        never={"plt": _NO_LAYERS},
    ),
    "clipped": Plant(
        "clipped",
        text={
            "svg": _swap('(<g id="cut")', r'\1 clip-path="url(#a)"'),
            "plt": _swap("SP2;", "SP2;IW0,0,400,400;"),
            "pdf": _swap(_PDF_CUT, r"\1\n0 0 300 300 re W n"),
        },
        never=dict.fromkeys(_POLYLINES, "its lines can't be clipped"),
    ),
    "dashed": Plant(
        "dashed",
        text=_said(
            "  6\nDASHED\n",
            svg=_swap('(<g id="cut")', r'\1 stroke-dasharray="4 2"'),
            plt=_swap("SP2;", "SP2;LT2;"),
            pdf=_swap(_PDF_CUT, r"\1\n[4 2] 0 d"),
        ),
    ),
    "cut in the pen's colour": Plant(
        "wrong-colour",
        text={**_without_sewn(_table(" 70\n0\n 62\n5\n")), "svg": _strokes_in_one_colour},
        never={
            "plt": "its pens are its layers",
            "sewn.dxf": "its layers are numbers, and colours mean nothing",
            "pdf": "on paper width and dashes tell lines apart",
        },
    ),
    "line with a width": Plant(
        "wide-line",
        text=_said(" 40\n1.5\n"),
        never={
            "svg": "strokes have one anyway: tools run along their middle",
            "plt": "a pen has one anyway",
            "pdf": "people cut along the middle",
        },
    ),
    "line above the mat": Plant(
        "not-flat", text=_said(" 30\n5\n"), never=dict.fromkeys(("svg", "plt", "pdf"), _IS_FLAT)
    ),
    "layer missing from the table": Plant(
        "missing-layer", text=_table(""), never=dict.fromkeys(("svg", "plt", "pdf"), _NO_TABLE)
    ),
    "wrong number of corners": Plant(
        "vertex-count",
        text={"dxf": _swap(r" 90\n4\n", " 90\n7\n")},
        never=dict.fromkeys(("svg", "r12.dxf", "plt", "sewn.dxf", "pdf"), _NO_COUNT),
    ),
    "smoothed polyline": Plant(
        "smoothed",
        text={
            "dxf": _swap(
                r"(  0\nLINE\n)",
                "  0\nPOLYLINE\n  8\nDRAW\n 70\n4\n  0\nVERTEX\n 10\n31\n 20\n30\n"
                "  0\nVERTEX\n 10\n33\n 20\n30\n  0\nSEQEND\n\\g<1>",
            ),
            **{
                suffix: _swap(f"({_POLYLINES[suffix]} 66\n1\n 70\n)1", r"\g<1>3")
                for suffix in ("r12.dxf", "sewn.dxf")
            },
        },
        never=dict.fromkeys(("svg", "plt", "pdf"), "a curve is a curve there"),
    ),
    "turned page": Plant(
        "turned-page",
        text={"pdf": _swap(r"(/MediaBox \[0 0 612 792\])", r"\1 /Rotate 90")},
        never=dict.fromkeys((*_POLYLINES, "svg", "plt"), _NO_PAGES),
    ),
    "cropped page": Plant(
        "cropped-page",
        text={"pdf": _swap(r"(/MediaBox \[0 0 612 792\])", r"\1 /CropBox [0 0 500 792]")},
        never=dict.fromkeys((*_POLYLINES, "svg", "plt"), _NO_PAGES),
    ),
    "page twice": Plant(
        "page-twice",
        text={"pdf": _page_again},
        never=dict.fromkeys((*_POLYLINES, "svg", "plt"), _NO_PAGES),
    ),
}


def _layout() -> Layout:
    """The usual layout; the tab that others are compared with has room to move in."""
    layout = copy.deepcopy(usual_layout())
    layout["loads"][0]["fabrics"][1]["pieces"] = [piece("shingle-tab-001", 210, 30, 30)]
    return layout


def _codes(folder: Path, suffix: str, text: str) -> set[str]:
    return {
        finding.code for finding in check_paths([write_folder(folder, _layout(), {suffix: text})]).findings
    }


def test_every_format_has_a_sheet_to_break() -> None:
    """A new format is tried with every fault, or says why it can't have it."""
    assert set(FORMATS) == set(NAMES)


@pytest.mark.parametrize("suffix", FORMATS)
def test_the_sound_file_has_no_fault(tmp_path: Path, suffix: str) -> None:
    """Else a planted fault would prove nothing."""
    assert _codes(tmp_path, suffix, FORMATS[suffix](drawing_of(_layout()))) == set()


@pytest.mark.parametrize("suffix", FORMATS)
def test_a_file_from_elsewhere_says_what_cannot_be_known(tmp_path: Path, suffix: str) -> None:
    """Without a layout nothing is missing, but nobody knows the gap, the fabric and the pieces."""
    path = tmp_path / f"any.{suffix}"
    path.write_text(FORMATS[suffix](drawing_of(_layout())))
    report = check_paths([path])
    assert report.findings == ()
    assert report.pieces == 6
    assert any("no layout.json knows this file" in note for note in report.notes)
    assert any("how large the mat is" in note for note in report.notes) == (suffix in ("plt", "pdf"))
    assert any("unit" in note for note in report.notes) == (suffix in ("r12.dxf", "sewn.dxf"))


CELLS = [
    (fault, suffix)
    for fault, plant in PLANTS.items()
    for suffix in FORMATS
    if suffix not in (plant.never or {})
]


@pytest.mark.parametrize(("fault", "suffix"), CELLS)
def test_a_planted_fault_is_found(tmp_path: Path, fault: str, suffix: str) -> None:
    """In each format in which it can exist."""
    plant = PLANTS[fault]
    drawing = drawing_of(_layout())
    if plant.lines is not None:
        plant.lines(drawing)
    text = FORMATS[suffix](drawing)
    if plant.text is not None:
        text = plant.text[suffix](text)
    assert plant.code in _codes(tmp_path, suffix, text)


def table() -> list[str]:
    """Return the rows of the table in the documentation."""
    rows = [f"| planted | code | {' | '.join(NAMES.values())} |", "|---|---|" + "---|" * len(NAMES)]
    for fault, plant in PLANTS.items():
        cells = [(plant.never or {}).get(suffix, "found") for suffix in NAMES]
        rows.append(f"| {fault} | `{plant.code}` | {' | '.join(cells)} |")
    return rows


def test_the_documentation_has_this_table() -> None:
    """Row by row."""
    assert "\n".join(table()) in DOCS.read_text(encoding="utf-8")
