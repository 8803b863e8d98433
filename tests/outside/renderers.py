"""Two independent renderers of SVG, at 96 pixels to the inch (CSS 2.1, section 4.3.2)."""

from __future__ import annotations

import io
from collections.abc import Callable
from functools import cache

import numpy as np
import numpy.typing as npt
import pylunasvg
import resvg_py
from PIL import Image

PX_PER_MM = 96 / 25.4

Picture = npt.NDArray[np.uint8]  # grey on white paper, shape (rows from the top, columns)
Renderer = Callable[[str], Picture]


@cache  # large drawings take their time
def by_resvg(svg: str) -> Picture:
    """Return the drawing as resvg (Rust) sees it."""
    png = resvg_py.svg_to_bytes(svg_string=svg, dpi=96, background="white")
    return np.array(Image.open(io.BytesIO(bytes(png))).convert("L"))


def by_lunasvg(svg: str) -> Picture:
    """Return the drawing as LunaSVG (C++) sees it."""
    document = document_of(svg)
    # Left to itself it rounds the size up and stretches the drawing to that.
    size = (round(document.width()), round(document.height()))
    paper = pylunasvg.Bitmap(*size)
    paper.clear(0xFFFFFFFF)
    document.render(paper, pylunasvg.Matrix())
    blue, green, red = (np.array(paper)[:, :, channel] for channel in range(3))
    return np.array(Image.fromarray(np.dstack([red, green, blue])).convert("L"))


def document_of(svg: str) -> pylunasvg.Document:
    """Return the drawing as LunaSVG reads it."""
    document = pylunasvg.Document.loadFromData(svg)
    assert document is not None, "LunaSVG refuses the file"
    return document
