"""PDF read back: pages put together, squares measured, strangers' ways of writing understood."""

from __future__ import annotations

import io
from pathlib import Path

import pypdf
import pytest

from cutfiles.check.check import check_paths
from cutfiles.core.errors import UnreadableError
from cutfiles.findings import limits
from cutfiles.formats.pdf import read as pdf
from cutfiles.formats.pdf import read_content as pdf_content
from cutfiles.formats.pdf.read import read_pdf
from cutfiles.geometry.outline import Circle, area, bounds
from cutfiles.pipeline import Options, make, save, size
from tests.check.drawings import drawing_of, usual_layout, write_folder
from tests.check.pdf_format import pdf_text
from tests.conftest import briefly

JOBS = Path(__file__).parents[3] / "fixtures/jobs"


def page_of(content: str, *, more: str = "", pages: int = 1) -> bytes:
    """A PDF of a stranger: so many pages of 100 mm with one content."""
    writer = pypdf.PdfWriter()
    for _ in range(pages):
        page = writer.add_blank_page(283.4645669, 283.4645669)
        stream = pypdf.generic.StreamObject()
        stream.set_data(content.encode())
        page[pypdf.generic.NameObject("/Contents")] = writer._add_object(stream)
        if more:
            page[pypdf.generic.NameObject(more)] = pypdf.generic.NumberObject(2)
    written = io.BytesIO()
    writer.write(written)
    return written.getvalue()


def codes(content: bytes) -> set[str]:
    return {fault.code.value for fault in read_pdf(content).faults}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job of ours, its load on several pages."""
    out = tmp_path_factory.mktemp("pdf") / "cut"
    save(out, make(size(JOBS / "own-outlines/job.toml"), Options(("svg", "pdf"), around_search=briefly)))
    return out


def test_pages_together_are_the_load_and_no_line_is_there_twice(made: Path) -> None:
    """As many outlines as the SVG has, though several are on two pages and more."""
    report = check_paths([made])
    assert report.findings == ()
    content = (made / "load-01.pdf").read_bytes()
    assert len(pypdf.PdfReader(io.BytesIO(content)).pages) > 3
    svg = (made / "load-01.svg").read_text(encoding="utf-8").split('id="cut"')[1]
    cut = [item for item in read_pdf(content).drawing.items if item.layer and item.layer.value == "cut"]
    assert len(cut) == svg.count("<p") + svg.count("<circle")


def test_a_page_that_lies_elsewhere_is_found(made: Path, tmp_path: Path) -> None:
    """Its lines no longer are those of the layout."""
    content = (made / "load-01.pdf").read_bytes()
    at = content.rindex(b"1 0 0 1 ")
    moved = content[:at] + b"1 0 0 1 1" + content[at + 8 :]
    (tmp_path / "layout.json").write_bytes((made / "layout.json").read_bytes())
    (tmp_path / "load-01.pdf").write_bytes(moved)
    codes = {finding.code for finding in check_paths([tmp_path / "load-01.pdf"]).findings}
    assert codes >= {"changed-file"}
    assert codes - {"changed-file", "unreadable"}


@pytest.mark.parametrize(
    ("old", "new"),
    [("re S", "re n"), ("141.732283 141", "141.76 141"), ("72.000000 72.000000", "71.97 72.0")],
)
def test_a_print_without_its_squares_is_found(old: str, new: str) -> None:
    """Left out, or off by a hundredth."""
    text = pdf_text(drawing_of(usual_layout()))
    assert codes(text.encode()) == set()
    assert old in text
    assert codes(text.replace(old, new, 1).encode()) == {"true-size"}


def test_what_another_program_compressed_is_read_as_well(tmp_path: Path) -> None:
    """The same pieces, and nothing wrong but what the layout says of the sum: here nothing."""
    writer = pypdf.PdfWriter(io.BytesIO(pdf_text(drawing_of(usual_layout())).encode()))
    for page in writer.pages:
        page.compress_content_streams()
    folder = write_folder(tmp_path, usual_layout(), {})
    writer.write(folder / "load-01.pdf")
    assert b" l\n" not in (folder / "load-01.pdf").read_bytes()
    report = check_paths([folder])
    assert (report.findings, report.pieces) == ((), 6)


def test_units_matrices_and_ways_to_draw_are_obeyed() -> None:
    """A rectangle under two matrices that turn, a circle of four curves; in mm from the corner."""
    k = 0.5522847498
    round_ = f"1 0 m 1 {k} {k} 1 0 1 c -{k} 1 -1 {k} -1 0 c -1 -{k} -{k} -1 0 -1 c {k} -1 1 -{k} 1 0 c h S"
    content = (
        "q 2.834645669 0 0 2.834645669 0 0 cm % mm\n(a (nested\\)) text) Tj\n"
        "q 0 1 -1 0 50 10 cm 0 2 -1 0 3 4 cm 0 0 30 20 re s Q\n"
        f"q 3 0 0 3 70 70 cm {round_} Q Q"
    )
    square, circle = read_pdf(page_of(content)).drawing.items
    assert bounds(square.path) == pytest.approx((-14, -7, 46, 13), abs=1e-4)
    assert isinstance(circle.path, Circle)
    assert area(circle.path) == pytest.approx(9 * 3.14159265, abs=0.02)
    (twice,) = read_pdf(page_of("0 0 28.34645669 28.34645669 re S", more="/UserUnit")).drawing.items
    assert bounds(twice.path) == pytest.approx((0, 0, 20, 20), abs=1e-4)


@pytest.mark.parametrize(
    ("content", "code"),
    [
        ("0 0 m 10 80 90 -40 100 0 c S", "unknown-element"),
        ("/OC /cut BDC 0 0 9 9 re f EMC", "unknown-element"),
        ("/Im0 Do", "unknown-element"),
        ("0 0 m 10 l S", "not-a-number"),
        ("10 10 l S", "not-a-number"),
        ("0 0 m 10 inf l S", "not-a-number"),
        ("0 0 m 0 0 l S", "zero-length"),
        ("q q 0 0 m 9 9 l S", "unreadable"),
    ],
)
def test_what_cannot_be_measured_is_told(content: str, code: str) -> None:
    """By page and line."""
    assert code in codes(page_of(content))


def test_pages_that_lie_nowhere_are_one_page() -> None:
    """A note says that the others weren't read."""
    reading = read_pdf(page_of("10 10 50 50 re S", pages=3))
    assert len(reading.drawing.items) == 1
    assert reading.notes == ("its pages don't say where they lie: only the first was read",)


def test_what_is_no_whole_pdf_is_refused() -> None:
    """Another file, one without end, one with a password, one without pages."""
    sound = pdf_text(drawing_of(usual_layout())).encode()
    writer = pypdf.PdfWriter(io.BytesIO(sound))
    writer.encrypt("shingle", algorithm="RC4-128")
    locked = io.BytesIO()
    writer.write(locked)
    for content, says in (
        (b"IN;SP1;", "doesn't begin like one"),
        (sound[:-20], "cut short"),
        (locked.getvalue(), "password"),
        (b"%PDF-1.6\n%%EOF\n", "no whole PDF"),
    ):
        with pytest.raises(UnreadableError, match=says):
            read_pdf(content)


@pytest.mark.parametrize(
    ("module", "limit"),
    [(pdf, "MOST_PAGES"), (pdf, "MOST_ITEMS"), (pdf_content, "MOST_PARTS"), (limits, "MOST_CORNERS"),
     (pdf_content, "DEEPEST")],
)  # fmt: skip
def test_more_than_can_be_read_is_told(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, module: object, limit: str
) -> None:
    """By the same word as in other formats."""
    monkeypatch.setattr(module, limit, 0)
    path = tmp_path / "any.pdf"
    path.write_text(pdf_text(drawing_of(usual_layout())))
    assert {finding.code for finding in check_paths([path]).findings} == {"too-much"}
