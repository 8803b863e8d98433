"""The small load of `drawings.py` as PDF, by hand by its standard: a page to measure, one with the mat."""

from __future__ import annotations

import math

from tests.check.drawings import Line, LineDrawing

MM = 72 / 25.4  # points
ORIGIN = (40.0, 30.0)  # of the mat on its page, mm
LAYERS = ("draw", "register", "cut")
_STEP = math.pi / 8  # of the curves that an arc is made of


def _n(value: float) -> str:
    return f"{value:.6f}"


def _point(x: float, y: float) -> str:
    return f"{_n((x + ORIGIN[0]) * MM)} {_n((y + ORIGIN[1]) * MM)}"


def _arc(start: complex, bulge: float, end: complex) -> list[str]:
    """Curves along an arc: inner points lie on its tangents, 4/3 of the tangent of a quarter step away."""
    sweep = 4 * math.atan(bulge)
    centre = (start + end) / 2 + 1j * (end - start) / 2 / math.tan(sweep / 2)
    return _about(centre, start - centre, sweep)


def _about(centre: complex, arm: complex, sweep: float) -> list[str]:
    count = math.ceil(abs(sweep) / _STEP)
    step = sweep / count
    reach = 1j * 4 / 3 * math.tan(step / 4)
    words = []
    for _ in range(count):
        turned = arm * complex(math.cos(step), math.sin(step))
        inner = (centre + arm * (1 + reach), centre + turned * (1 - reach), centre + turned)
        words.append(" ".join(_point(point.real, point.imag) for point in inner) + " c")
        arm = turned
    return words


def _path(line: Line) -> str:
    if line.circle:
        x, y, radius = line.corners[0]
        return "\n".join(
            [f"{_point(x + radius, y)} m", *_about(complex(x, y), complex(radius), 2 * math.pi), "s"]
        )
    words = [f"{_point(*line.corners[0][:2])} m"]
    ends = [*line.corners[1:], *(line.corners[:1] if line.closed else ())]
    for (x, y, bulge), (to_x, to_y, _) in zip(line.corners, ends, strict=False):
        words += _arc(complex(x, y), bulge, complex(to_x, to_y)) if bulge else [f"{_point(to_x, to_y)} l"]
    return "\n".join([*words, "s" if line.closed else "S"])


def pdf_text(drawing: LineDrawing) -> str:
    """Return a drawing as PDF: layers as optional content, the mat's place as a viewport's measure."""
    squares = "".join(
        f"{_n(20 * MM)} {_n(at * MM)} {_n(side * MM)} {_n(side * MM)} re S\n"
        for at, side in ((20, 50), (90, 25.4))
    )
    content, layer = [], None
    for line in drawing.lines:
        if line.layer != layer:
            content.append(("" if layer is None else "EMC\n") + f"/OC /L{line.layer} BDC")
            layer = line.layer
        content.append(_path(line))
    named = " ".join(f"/L{name} {number} 0 R" for number, name in enumerate(LAYERS, start=7))
    width, height = _n((drawing.width + 80) * MM), _n((drawing.height + 80) * MM)
    measure = f"<< /Subtype /RL /R (1 mm = 1 mm) /O [{_point(0, 0)}] /X [<< /U (mm) /C {_n(1 / MM)} >>] >>"
    objects = [
        "<< /Type /Catalog /Pages 2 0 R /ViewerPreferences << /PrintScaling /None >> "
        "/OCProperties << /OCGs [7 0 R 8 0 R 9 0 R] /D << >> >> >>",
        "<< /Type /Pages /Kids [3 0 R 5 0 R] /Count 2 >>",
        "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 612 792] /Contents 4 0 R >>",
        f"<< /Length {len(squares)} >>\nstream\n{squares}\nendstream",
        f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {width} {height}] /Contents 6 0 R "
        f"/Resources << /Properties << {named} >> >> "
        f"/VP [<< /Type /Viewport /BBox [0 0 {width} {height}] /Measure {measure} >>] >>",
        "\n".join(["", *content, *(["EMC"] if layer else [])]),
        *(f"<< /Type /OCG /Name ({name}) >>" for name in LAYERS),
    ]  # fmt: skip
    objects[5] = f"<< /Length {len(objects[5])} >>\nstream{objects[5]}\nendstream"
    text, places = "%PDF-1.6\n", []
    for number, body in enumerate(objects, start=1):
        places.append(len(text))
        text += f"{number} 0 obj\n{body}\nendobj\n"
    table = "".join(f"{place:010d} 00000 n \n" for place in places)
    return (
        f"{text}xref\n0 {len(objects) + 1}\n0000000000 65535 f \n{table}"
        f"trailer\n<< /Size {len(objects) + 1} /Root 1 0 R >>\nstartxref\n{len(text)}\n%%EOF\n"
    )
