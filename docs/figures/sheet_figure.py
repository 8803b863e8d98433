"""Two pages of a job sheet: `python docs/figures/sheet_figure.py`. It needs a browser, see DEVELOPERS.md."""

from __future__ import annotations

import io
import shutil
import tempfile
from pathlib import Path

import pypdfium2
from PIL import Image
from playwright.sync_api import sync_playwright

from cutfiles.core.units import Unit
from cutfiles.job.starter import starter
from cutfiles.pipeline import make

BROWSER = "chromium"
PICTURE = Path(__file__).parent / "job-sheet.png"
WIDE = 620  # px, a page
BETWEEN = 16


def pages() -> list[Image.Image]:
    """Return all pages of the starter job's sheet as they are printed on Letter."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        job = Path(folder) / "runner.toml"
        job.write_text(starter(Unit.IN), encoding="utf-8")
        browser = playwright.chromium.launch(executable_path=shutil.which(BROWSER), args=["--no-sandbox"])
        page = browser.new_page()
        page.set_content(make(job).files["job-sheet.html"].decode())
        printed = pypdfium2.PdfDocument(page.pdf(format="Letter"))
        return [leaf.render(scale=2 * WIDE / leaf.get_width()).to_pil() for leaf in printed]


def figure() -> bytes:
    """Return the first and the last page side by side, as PNG of few colours."""
    first, *_, last = (leaf.resize((WIDE, WIDE * leaf.height // leaf.width)) for leaf in pages())
    both = Image.new("RGB", (2 * WIDE + 3 * BETWEEN, first.height + 2 * BETWEEN), "#b9b9b9")
    both.paste(first, (BETWEEN, BETWEEN))
    both.paste(last, (WIDE + 2 * BETWEEN, BETWEEN))
    png = io.BytesIO()
    both.quantize(48).save(png, "PNG", optimize=True)
    return png.getvalue()


if __name__ == "__main__":
    PICTURE.write_bytes(figure())
