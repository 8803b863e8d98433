"""A browser as one more renderer of our SVG: `python -m tests.bench.browser_renderer FILE.svg …`.

Each file is drawn by resvg and by headless Chromium (Debian's `chromium`), both at 96 pixels to the inch
(CSS 2.1, section 4.3.2), and the pictures are compared: the box around all that is drawn, and the pixels
that differ by more than half. It is no part of the tests, as a browser is no Python package; without one it
says so and fails.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from PIL import Image

from tests.outside.renderers import Picture, by_resvg

_DARK = 245  # below this a pixel isn't paper


def by_browser(svg: str, shape: tuple[int, int]) -> Picture:
    """Return the drawing, so many rows and columns of it, from a page that holds nothing else."""
    browser = shutil.which("chromium")
    if browser is None:
        sys.exit(
            "browser_renderer: no chromium on this machine; install it (Debian: apt-get install chromium)"
        )
    with tempfile.TemporaryDirectory() as folder:
        page, picture = Path(folder) / "page.html", Path(folder) / "page.png"
        page.write_text(f"<body style='margin:0'>{svg.partition('?>')[2]}", encoding="utf-8")
        flags = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"]
        window = f"--window-size={shape[1] + 40},{shape[0] + 200}"
        subprocess.run(
            [
                browser,
                *flags,
                window,
                f"--user-data-dir={folder}/user",
                f"--screenshot={picture}",
                page.as_uri(),
            ],
            check=True,
            capture_output=True,
            timeout=60,
        )
        return np.array(Image.open(picture).convert("L").crop((0, 0, shape[1], shape[0])))


def main(names: list[str]) -> int:
    """Print a line a file; 1 where the two disagree."""
    wrong = 0
    for name in names:
        svg = Path(name).read_text(encoding="utf-8")
        first = by_resvg(svg)
        second = by_browser(svg, (first.shape[0], first.shape[1]))
        boxes = [np.argwhere(image < _DARK) for image in (first, second)]
        off = max(
            int(np.abs(one - other).max())
            for one, other in zip(*([box.min(axis=0), box.max(axis=0)] for box in boxes), strict=True)
        )
        apart = np.abs(first.astype(np.int16) - second.astype(np.int16))
        print(
            f"{name}: {len(boxes[0])} pixels drawn, box off by {off}, "
            f"{int((apart > 128).sum())} differ by over half"
        )
        wrong += off > 1 or int((apart > 128).sum()) > len(boxes[0]) // 1000
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
