"""Two independent readers, pypdf and PDFium (through pypdfium2), take our PDF for what it is to be.

The standard is ISO 32000-1:2008: a unit is 1/72 in (8.3.2.3), PrintScaling None prints unscaled (table 150),
optional content is 8.11.
"""

from __future__ import annotations

import io
import math
from dataclasses import replace
from itertools import combinations

import numpy as np
import pypdf
import pypdfium2
import pytest
from pypdf._codecs.core_font_metrics import CORE_FONT_METRICS

from cutfiles.formats.model.plan import LoadPlan, Stroke
from cutfiles.formats.model.style import DEFAULT_STYLE
from cutfiles.formats.model.tool import Tool
from cutfiles.formats.paper.sizes import Paper, PaperSpec
from cutfiles.formats.paper.tiles import STRIP_MM
from cutfiles.formats.pdf.write import write_pdf
from cutfiles.formats.pdf.write_ink import BOLD_MORE, words_width
from cutfiles.geometry.outline import Circle, bounds
from cutfiles.tips.registry import Tip
from tests.outside.made import whole_plate

MM = 72 / 25.4  # points
PAPERS = (
    PaperSpec(),
    PaperSpec(Paper.LETTER, margin_mm=25.4, overlap_mm=20.0),
    PaperSpec(Paper.ROLL, 610.0, 5.0),
    PaperSpec(Paper.ROLL, 200.0, 25.4),
)
SHEETS = {Paper.A4: (210.0, 297.0), Paper.LETTER: (8.5 * 25.4, 11 * 25.4)}
Pixels = np.ndarray[tuple[int, int], np.dtype[np.bool_]]


@pytest.fixture(scope="module")
def load() -> LoadPlan:
    """A plate with all its parts on a large mat."""
    return whole_plate(Tip.ROUND).plan.loads[0]


def written(load: LoadPlan, paper: PaperSpec) -> bytes:
    return write_pdf(load, style=replace(DEFAULT_STYLE, paper=paper))


def rendered(content: bytes, page: int, *, dots_a_mm: float, only: tuple[str, ...] = ()) -> Pixels:
    """Where a page is darker than half; of the layers that are given where some are."""
    if only:
        writer = pypdf.PdfWriter(io.BytesIO(content))
        groups = writer.root_object["/OCProperties"]
        off = [ref for ref in groups["/OCGs"] if ref.get_object()["/Name"] not in only]
        groups["/D"][pypdf.generic.NameObject("/OFF")] = pypdf.generic.ArrayObject(off)
        groups["/D"][pypdf.generic.NameObject("/ON")] = pypdf.generic.ArrayObject()
        changed = io.BytesIO()
        writer.write(changed)
        content = changed.getvalue()
    document = pypdfium2.PdfDocument(content)
    grey = document[page].render(scale=dots_a_mm / MM, grayscale=True).to_numpy()
    return np.asarray(grey.reshape(grey.shape[:2]) < 200)


@pytest.mark.parametrize("paper", PAPERS)
def test_both_readers_find_pages_of_the_right_size(load: LoadPlan, paper: PaperSpec) -> None:
    """To a hundredth of a mm, upright or on its side, the first one upright; as many in both."""
    content = written(load, paper)
    pages = [
        (float(page.mediabox.width), float(page.mediabox.height))
        for page in pypdf.PdfReader(io.BytesIO(content)).pages
    ]
    others = [page.get_size() for page in pypdfium2.PdfDocument(content)]
    assert len(pages) > 1
    assert np.array(pages) == pytest.approx(np.array(others), abs=1e-3)
    for width, height in pages:
        if paper.paper is Paper.ROLL:
            assert paper.roll_width_mm == pytest.approx(
                min((width / MM, height / MM), key=lambda one: abs(one - paper.roll_width_mm)), abs=0.01
            )
        else:
            assert sorted((width / MM, height / MM)) == pytest.approx(sorted(SHEETS[paper.paper]), abs=0.01)
    assert pages[0][0] < pages[0][1] or paper.paper is Paper.ROLL


def test_viewers_are_asked_not_to_scale_and_layers_are_there(load: LoadPlan) -> None:
    """PrintScaling None; groups draw, register, cut and page, all on, each used by pages."""
    reader = pypdf.PdfReader(io.BytesIO(written(load, PaperSpec())), strict=True)
    root = reader.trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    groups = root["/OCProperties"]["/OCGs"]
    assert [group.get_object()["/Name"] for group in groups] == ["draw", "register", "cut", "page"]
    assert root["/OCProperties"]["/D"]["/ON"] == groups
    named = reader.pages[1]["/Resources"]["/Properties"]
    assert [named[f"/{name}"] for name in ("draw", "register", "cut", "page")] == [
        one.get_object() for one in groups
    ]
    assert reader.trailer["/Info"] == {"/Title": "load-01, to print at 100 %"}  # no clock


@pytest.mark.parametrize("paper", PAPERS)
def test_the_squares_measure_an_inch_and_50_mm(load: LoadPlan, paper: PaperSpec) -> None:
    """On the first page as PDFium draws it at 20 dots to the mm, by the middles of their lines."""
    dots = 20.0
    dark = rendered(written(load, paper), 0, dots_a_mm=dots)
    # Long dark rows and columns within the upper 85 mm of the page, where the two squares are alone.
    upper = dark[: int(dots * (85 + paper.margin_mm)), : int(dots * (paper.margin_mm + 90))]
    sides = []
    for axis in (0, 1):
        lengths = [_longest(line) for line in (upper.T if axis == 0 else upper)]
        sides.append([(index, length / dots) for index, length in enumerate(lengths) if length > 20 * dots])
    for lines in sides:
        places: list[list[float]] = []
        for index, length in lines:
            if places and index - places[-1][-1] <= 1:
                places[-1].append(index)
            else:
                places.append([index])
            assert min(abs(length - side) for side in (50.2, 25.6)) < 0.15
        middles = [sum(place) / len(place) / dots for place in places]
        apart = {round(b - a, 1) for a, b in combinations(middles, 2)}
        assert {50.0, 25.4} <= apart


def _longest(line: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> int:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], line.astype(np.int8), [0]])))
    return int(max(edges[1::2] - edges[::2], default=0))


def test_a_blade_is_at_true_size_and_in_its_place() -> None:
    """PDFium's picture of one blade reaches as far as the blade, measured from the mat's corner."""
    whole = whole_plate(Tip.ROUND).plan.loads[0]
    blade = next(stroke for stroke in whole.strokes_of(Tool.CUT) if stroke.piece_id == "tide-blade-001")
    load = LoadPlan("load-01", 200, 200, (blade,))
    paper = PaperSpec(margin_mm=7.0)
    dots = 12.0
    dark = rendered(written(load, paper), 1, dots_a_mm=dots, only=("cut",))
    rows, columns = np.flatnonzero(dark.any(axis=1)), np.flatnonzero(dark.any(axis=0))
    left, low, right, high = bounds(blade.path)
    half = 0.35 / 2
    x, y = 7.0, 7.0 + STRIP_MM
    found = (
        columns[0] / dots - x, dark.shape[0] / dots - (rows[-1] + 1) / dots - y,
        (columns[-1] + 1) / dots - x, dark.shape[0] / dots - rows[0] / dots - y,
    )  # fmt: skip
    # Its narrow end, straight and level, has no caps to reach further.
    assert found == pytest.approx((left - half, low - half, right + half, high + half), abs=0.15)


@pytest.mark.parametrize(
    ("paper", "one", "other"), [(PaperSpec(), (4, 1), (4, 2)), (PaperSpec(), (3, 3), (4, 3))]
)
def test_adjoining_pages_agree_where_they_overlap(
    load: LoadPlan, paper: PaperSpec, one: tuple[int, int], other: tuple[int, int]
) -> None:
    """Rendered and laid over each other by the mat's corner, no dot is 0.1 mm from the other's."""
    dots, lines = 20.0, tuple(tool.value for tool in Tool)
    content = written(load, paper)
    reader = pypdf.PdfReader(io.BytesIO(content))
    texts = [page.extract_text() for page in reader.pages]
    pictures = []
    for row, column in (one, other):
        number = next(index for index, text in enumerate(texts) if f"row {row}, column {column}" in text)
        dark = rendered(content, number, dots_a_mm=dots, only=lines)
        margin, foot = int(paper.margin_mm * dots), int((paper.margin_mm + STRIP_MM) * dots)
        pictures.append(dark[margin : dark.shape[0] - foot, margin : dark.shape[1] - margin])
    wide = int(paper.overlap_mm * dots)
    if one[0] == other[0]:
        first, second = pictures[0][:, -wide:], pictures[1][:, :wide]
    else:
        first, second = pictures[0][-wide:, :], pictures[1][:wide, :]
    # Away from the edges, where a line may be half cut off.
    first, second = first[8:-8, 8:-8], second[8:-8, 8:-8]
    assert first.sum() > 1000
    assert not (first & ~_grown(second, 2)).any()
    assert not (second & ~_grown(first, 2)).any()


def _grown(dark: Pixels, by: int) -> Pixels:
    found = dark.copy()
    for down in range(-by, by + 1):
        for right in range(-by, by + 1):
            found |= np.roll(dark, (down, right), axis=(0, 1))
    return found


@pytest.mark.parametrize("paper", PAPERS)
def test_no_words_collide_or_leave_the_printable_part(load: LoadPlan, paper: PaperSpec) -> None:
    """Boxes around lines of text as PDFium sets them."""
    document = pypdfium2.PdfDocument(written(load, paper))
    for page in document:
        width, height = page.get_size()
        text = page.get_textpage()
        boxes = [text.get_rect(index) for index in range(text.count_rects())]
        assert boxes
        for left, low, right, high in boxes:
            assert left > paper.margin_mm * MM - 1
            assert low > paper.margin_mm * MM - 2
            assert right < width - paper.margin_mm * MM + 1
            assert high < height - paper.margin_mm * MM + 1
        for one, other in combinations(boxes, 2):
            across = min(one[2], other[2]) - max(one[0], other[0])
            up = min(one[3], other[3]) - max(one[1], other[1])
            assert not (across > 0.5 and up > 1.0), (one, other)


def test_the_first_page_says_what_to_do_if_the_squares_are_off(load: LoadPlan) -> None:
    """As pypdf reads the words."""
    words = " ".join(pypdf.PdfReader(io.BytesIO(written(load, PaperSpec()))).pages[0].extract_text().split())
    assert 'If they are off, the print was scaled: print again at 100 % or "actual size"' in words
    assert "50 mm" in words
    assert "1 in" in words


def test_a_circle_is_a_circle_for_a_stranger() -> None:
    """All dots of a rendered circle of 80 mm lie on it, within the line's width and a dot."""
    load = LoadPlan("load-01", 180, 180, (Stroke(Tool.CUT, Circle(90, 90, 80), "a"),))
    dots = 12.0
    dark = rendered(written(load, PaperSpec()), 1, dots_a_mm=dots, only=("cut",))
    rows, columns = np.nonzero(dark)
    x = (columns + 0.5) / dots - 10.0
    y = (dark.shape[0] - rows - 0.5) / dots - 10.0 - STRIP_MM
    off = np.abs(np.hypot(x - 90, y - 90) - 80)
    assert len(off) > 2 * math.pi * 80 * dots
    assert off.max() < 0.35 / 2 + 1 / dots


def test_the_widths_of_letters_are_adobes() -> None:
    """Source: Adobe's metrics of the core 14 fonts, as pypdf carries them."""
    plain, bold = (CORE_FONT_METRICS[name].character_widths for name in ("Helvetica", "Helvetica-Bold"))
    for sign in map(chr, range(32, 127)):
        assert words_width(sign, size_mm=1000) == pytest.approx(plain[sign])
    title = "load-01: print at 100 %   row 12, column 34"
    assert sum(bold[sign] for sign in title) < BOLD_MORE * words_width(title, size_mm=1000)
