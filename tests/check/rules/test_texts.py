"""What only SVG or only DXF can get wrong, broken in the text of a file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from cutfiles.check.check import check_paths
from tests.check.drawings import WRITTEN, drawing_of, usual_layout, write_folder
from tests.texts import replaced as swap

# Broken in the text of one format.
IN_TEXT: dict[str, tuple[str, str, Callable[[str], str]]] = {
    "size in pixels": ("svg", "true-size", swap('width="300mm"', 'width="300px"')),
    "size without unit": ("svg", "true-size", swap('width="300mm"', 'width="300"')),
    "width doubled": ("svg", "true-size", swap('width="300mm"', 'width="600mm"')),
    "size halved": ("svg", "true-size", swap('height="200mm"', 'height="100mm"')),
    "size off by a hundredth": ("svg", "true-size", swap('height="200mm"', 'height="200.01mm"')),
    "no viewBox": ("svg", "true-size", swap('viewBox="0 0 300 200"', "")),
    "units in inches": ("dxf", "true-size", swap("$INSUNITS\n 70\n4", "$INSUNITS\n 70\n1")),
    "no units": ("dxf", "true-size", swap("  9\n$INSUNITS\n 70\n4\n", "")),
    "no limits": ("dxf", "mat-size", swap("$LIMMAX", "$LIMMAXX")),
    "NaN in points": ("svg", "not-a-number", swap('<g id="draw">', '<g id="draw"><line x1="NaN" x2="9"/>')),
    "infinite number": ("svg", "not-a-number", swap('<g id="draw">', '<g id="draw"><circle r="1e999"/>')),
    "odd points": ("svg", "not-a-number", swap('<g id="draw">', '<g id="draw"><polyline points="1,2 3"/>')),
    "no path data": ("svg", "not-a-number", swap('<g id="draw">', '<g id="draw"><path d="banana"/>')),
    "NaN": ("dxf", "not-a-number", swap(" 10\n28\n", " 10\nnan\n")),
    "word for a number": ("dxf", "not-a-number", swap(" 10\n28\n", " 10\ntide\n")),
    "endless number": ("dxf", "not-a-number", swap(" 10\n28\n", " 10\n-inf\n")),
    "text": ("svg", "unknown-element", swap('<g id="draw">', '<g id="draw"><text>tide</text>')),
    "rectangle": ("svg", "unknown-element", swap("</g>", '<rect width="9" height="9"/></g>')),
    "curve": ("svg", "unknown-element", swap('<g id="draw">', '<g id="draw"><path d="M1 1C2 2 3 3 4 4"/>')),
    "ellipse": ("svg", "unknown-element", swap("</g>", '<path d="M1 1A2 3 0 0 0 4 4"/></g>')),
    "spline": ("dxf", "unknown-element", swap("  0\nLINE\n", "  0\nSPLINE\n  8\nDRAW\n  0\nLINE\n")),
    "paper space": ("dxf", "unknown-element", swap("  0\nLINE\n", "  0\nLINE\n 67\n1\n")),
    "transform": ("svg", "transform", swap('<g id="cut">', '<g id="cut" transform="scale(2)">')),
    "transform of one": ("svg", "transform", swap("<circle id=", '<circle transform="translate(1)" id=')),
    "style": ("svg", "style-sheet", swap("<circle id=", '<circle style="fill:red" id=')),
    "style sheet": ("svg", "style-sheet", swap("<g id=", "<style>g{display:none}</style><g id=")),
    "outside every group": ("svg", "unknown-layer", swap("<g id=", '<line x2="9"/><g id=')),
    "another's id": ("svg", "wrong-id", swap('id="tide-tab-002"', 'id="tide-tab-007"')),
    "no id": ("svg", "wrong-id", swap(' id="tide-disc-001"', "")),
    "cut short": ("svg", "unreadable", lambda text: text[: len(text) // 2]),
    "cut short, too": ("dxf", "unreadable", lambda text: text[: len(text) // 2]),
    "another root": ("svg", "unreadable", lambda _: "<html/>"),
    "entities": ("svg", "unreadable", lambda text: '<!DOCTYPE svg [<!ENTITY a "b">]>' + text),
    "binary": ("dxf", "unreadable", lambda text: "AutoCAD Binary DXF\r\n" + text),
}  # fmt: skip


@pytest.mark.parametrize("fault", IN_TEXT)
def test_a_fault_of_one_format_has_its_code(tmp_path: Path, fault: str) -> None:
    """And no other: the text is changed in one spot."""
    suffix, code, change = IN_TEXT[fault]
    text = change(WRITTEN[suffix](drawing_of(usual_layout())))
    findings = check_paths([write_folder(tmp_path, usual_layout(), {suffix: text})]).findings
    assert {finding.code for finding in findings} == {code}
