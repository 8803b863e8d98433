"""PDF as a document: numbered objects, a table of where each begins, layers, and the request not to scale.

Source: ISO 32000-1:2008 (PDF 1.7): file structure 7.5, pages 7.7.3, viewer preferences 12.2 (table 150),
optional content 8.11, standard fonts 9.6.2.2. Nothing is compressed: builds of the compressing library
differ, and the same job is to give the same bytes everywhere.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from cutfiles.core.units import MM_PER_INCH
from cutfiles.formats.model.numbers import number

POINTS_A_MM = 72 / MM_PER_INCH
# By the names that page content has for them.
FONTS = {"F1": "Helvetica", "F2": "Helvetica-Bold"}
# Decimals of what is multiplied, or added to every coordinate of a page.
_EXACT = 9
_NO_EDGE = 14400  # beyond any page


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its size, and what is drawn on it in mm from its lower left corner."""

    width_mm: float
    height_mm: float
    content: str
    # The part that shows the drawing (x, y, width, height), and where in mm the drawing's origin lies.
    view: tuple[float, float, float, float] | None = None
    origin: tuple[float, float] = (0.0, 0.0)


def document(title: str, pages: Sequence[Page], layers: Sequence[str], *, form: tuple[str, str]) -> bytes:
    """Return a PDF 1.6, to be printed unscaled. The same pages give the same bytes.

    Args:
        title: shown by readers; ASCII.
        pages: in order; their content names a layer as `/OC /name BDC`, a font as `/F1` or `/F2`.
        layers: optional content, in the order in which readers list it; all of it is on.
        form: what pages may draw as `/name Do`, and the name: once in the file, in mm as pages are.
    """
    count = len(layers)
    layer_refs = [f"{number_} 0 R" for number_ in range(3, 3 + count)]
    first_font = 3 + count
    form_at = first_font + len(FONTS)
    first_page = form_at + 1
    page_refs = [f"{first_page + 2 * index} 0 R" for index in range(len(pages))]
    listed = f"[{' '.join(layer_refs)}]"
    fonts = " ".join(f"/{name} {first_font + index} 0 R" for index, name in enumerate(FONTS))
    shown = " ".join(f"/{name} {ref}" for name, ref in zip(layers, layer_refs, strict=True))
    objects = [
        f"<< /Type /Catalog /Pages 2 0 R /ViewerPreferences << /PrintScaling /None /DisplayDocTitle true >> "
        f"/OCProperties << /OCGs {listed} /D << /Name (all) /Order {listed} /ON {listed} >> >> >>",
        f"<< /Type /Pages /Kids [{' '.join(page_refs)}] /Count {len(pages)} "
        f"/Resources << /Font << {fonts} >> /Properties << {shown} >> "
        f"/XObject << /{form[0]} {form_at} 0 R >> >> >>",
        *(f"<< /Type /OCG /Name {string(name)} >>" for name in layers),
        *(
            f"<< /Type /Font /Subtype /Type1 /BaseFont /{font} /Encoding /WinAnsiEncoding >>"
            for font in FONTS.values()
        ),
        # It has the page's own matrix, and no edge that would cut anything off.
        f"<< /Type /XObject /Subtype /Form /BBox [0 0 {_NO_EDGE} {_NO_EDGE}] /Length {len(form[1])} >>\n"
        f"stream\n{form[1]}\nendstream",
    ]
    for index, page in enumerate(pages):
        width, height = number(page.width_mm * POINTS_A_MM), number(page.height_mm * POINTS_A_MM)
        objects.append(
            f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {width} {height}] "
            f"{_viewport(page)}/Contents {first_page + 2 * index + 1} 0 R >>"
        )
        content = f"{number(POINTS_A_MM, _EXACT)} 0 0 {number(POINTS_A_MM, _EXACT)} 0 0 cm\n{page.content}"
        objects.append(f"<< /Length {len(content)} >>\nstream\n{content}\nendstream")
    objects.append(f"<< /Title {string(title)} >>")
    return _assembled(objects)


def _viewport(page: Page) -> str:
    """What tells viewers, whose rulers then show mm, and `check` where on the drawing a page lies: 12.9."""
    if page.view is None:
        return ""
    x, y, width, height = page.view
    box = " ".join(number(side * POINTS_A_MM) for side in (x, y, x + width, y + height))
    origin = " ".join(number(side * POINTS_A_MM, _EXACT) for side in page.origin)
    along = f"<< /Type /NumberFormat /U (mm) /C {number(1 / POINTS_A_MM, _EXACT)} /F /D /D 1000 >>"
    same, area = (f"<< /Type /NumberFormat /U ({unit}) /C 1 /F /D /D 1000 >>" for unit in ("mm", "mm2"))
    return (
        f"/VP [<< /Type /Viewport /BBox [{box}] /Measure << /Type /Measure /Subtype /RL /R (1 mm = 1 mm) "
        f"/O [{origin}] /X [{along}] /D [{same}] /A [{area}] >> >>] "
    )


def string(text: str) -> str:
    r"""Return text as PDF writes it.

    >>> string("page 1 (of 2)")
    '(page 1 \\(of 2\\))'
    """
    for sign in ("\\", "(", ")"):
        text = text.replace(sign, f"\\{sign}")
    return f"({text})"


def _assembled(objects: Sequence[str]) -> bytes:
    """The objects numbered from 1, first the catalog, last the title; then the table of their places."""
    # Four bytes above 127 tell programs that move files about not to take it for text.
    parts = [b"%PDF-1.6\n%\xe2\xe3\xcf\xd3\n"]
    at = len(parts[0])
    places = []
    for index, body in enumerate(objects, start=1):
        places.append(at)
        parts.append(f"{index} 0 obj\n{body}\nendobj\n".encode("ascii"))
        at += len(parts[-1])
    name = hashlib.sha256(b"".join(parts)).hexdigest()[:32]
    entries = "".join(f"{place:010d} 00000 n \n" for place in places)
    parts.append(
        f"xref\n0 {len(objects) + 1}\n0000000000 65535 f \n{entries}"
        f"trailer\n<< /Size {len(objects) + 1} /Root 1 0 R /Info {len(objects)} 0 R "
        f"/ID [<{name}> <{name}>] >>\nstartxref\n{at}\n%%EOF\n".encode("ascii")
    )
    return b"".join(parts)
