"""Draws the cloth of fixtures/jobs/harbour-pictured: run as a program it writes pictures beside the job."""

from __future__ import annotations

import io
from pathlib import Path

from PIL import Image, ImageDraw

FOLDER = Path(__file__).parents[1] / "fixtures/jobs/harbour-pictured"


def _tide() -> Image.Image:
    """Waves below a low sun: it has an up."""
    picture = Image.new("RGB", (120, 90), "#bcd6dc")
    pen = ImageDraw.Draw(picture)
    pen.ellipse((45, 6, 75, 36), fill="#e8b76a")
    for left in range(0, 120, 30):
        pen.polygon([(left, 80), (left + 15, 50), (left + 30, 80)], fill="#2d5f73")
    return picture


def _shingle() -> Image.Image:
    """Stripes along the selvedge, crossed by a thin one."""
    picture = Image.new("RGB", (60, 60), "#e9dfc8")
    pen = ImageDraw.Draw(picture)
    for left in range(0, 60, 15):
        pen.rectangle((left, 0, left + 5, 59), fill="#8a5a2b")
    pen.rectangle((0, 28, 59, 30), fill="#a33c2a")
    return picture


def _sailcloth() -> Image.Image:
    """A pale check."""
    picture = Image.new("RGB", (40, 40), "#f5f1e8")
    pen = ImageDraw.Draw(picture)
    pen.rectangle((0, 0, 19, 19), fill="#ece4d2")
    pen.rectangle((20, 20, 39, 39), fill="#ece4d2")
    return picture


CLOTHES = {"tide.png": _tide, "shingle.png": _shingle, "sailcloth.png": _sailcloth}


def main() -> None:
    """Write all pictures."""
    for name, drawn in CLOTHES.items():
        written = io.BytesIO()
        drawn().save(written, "PNG")
        (FOLDER / name).write_bytes(written.getvalue())


if __name__ == "__main__":
    main()
