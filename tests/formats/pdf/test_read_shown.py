"""Lines of a PDF that no reader of the print sees, and pages that don't print as they were laid out."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    FloatObject,
    IndirectObject,
    NameObject,
    NumberObject,
    StreamObject,
)

from cutfiles.check.check import check_paths
from tests.check.drawings import drawing_of, usual_layout, write_folder
from tests.check.pdf_format import pdf_text

Change = Callable[[pypdf.PdfWriter], None]
MM = 72 / 25.4
CUT = "/OC /Lcut BDC"
# The tab's corners on its page, points: 51 to 71 and 80 to 100 mm on a mat that begins at 40, 30.
TAB = tuple(side * MM for side in (91, 110, 111, 130))


def _edited(change: Change) -> bytes:
    writer = pypdf.PdfWriter(io.BytesIO(pdf_text(drawing_of(usual_layout())).encode()))
    change(writer)
    written = io.BytesIO()
    writer.write(written)
    return written.getvalue()


def _content(change: Callable[[str], str]) -> Change:
    """Change what the page with the mat draws."""

    def apply(writer: pypdf.PdfWriter) -> None:
        page = writer.pages[1]
        text = page.get_contents().get_data().decode()  # type: ignore[union-attr]
        stream = StreamObject()
        stream.set_data(change(text).encode())
        assert change(text) != text
        page[NameObject("/Contents")] = writer._add_object(stream)

    return apply


def _before_cut(said: str) -> Change:
    return _content(lambda text: text.replace(CUT, f"{said}\n{CUT}", 1))


def _on_tab(said: str) -> Change:
    """Say something of one piece only: the fifth outline."""

    def change(text: str) -> str:
        head, cuts = text.split(CUT)
        outlines = cuts.split("\ns\n")
        outlines[4] = f"q {said}\n{outlines[4]}"
        outlines[5] = f"Q\n{outlines[5]}"
        return head + CUT + "\ns\n".join(outlines)

    return _content(change)


def _box(*sides: float) -> ArrayObject:
    return ArrayObject(FloatObject(side) for side in sides)


def _shown_by(**usual: object) -> Change:
    """Say what of the layers is shown, the cut being the last."""

    def apply(writer: pypdf.PdfWriter) -> None:
        content = writer.root_object["/OCProperties"].get_object()
        cut = content.raw_get("/OCGs")[2]
        said = {
            NameObject(f"/{key}"): value(cut) if callable(value) else value for key, value in usual.items()
        }
        content[NameObject("/D")] = DictionaryObject(said)

    return apply


def _wish(cut: object) -> ArrayObject:
    group = cut.get_object()  # type: ignore[attr-defined]
    group[NameObject("/Usage")] = DictionaryObject(
        {NameObject("/Print"): DictionaryObject({NameObject("/PrintState"): NameObject("/OFF")})}
    )
    return ArrayObject(
        [
            DictionaryObject(
                {NameObject("/Event"): NameObject("/Print"), NameObject("/OCGs"): ArrayObject([cut])}
            )
        ]
    )


def _on_page(key: str, value: object) -> Change:
    return lambda writer: writer.pages[1].update({NameObject(key): value})


def _named_ink(**says: object) -> Change:
    def apply(writer: pypdf.PdfWriter) -> None:
        ink = DictionaryObject({NameObject(f"/{key}"): value for key, value in says.items()})
        resources = writer.pages[1]["/Resources"].get_object()
        resources[NameObject("/ExtGState")] = DictionaryObject({NameObject("/Pale"): ink})
        _on_tab("/Pale gs")(writer)

    return apply


def _page_again(writer: pypdf.PdfWriter) -> None:
    writer.add_page(writer.pages[1])


LEFT, LOW, RIGHT, HIGH = TAB
OVER_TAB = f"{LEFT - 1} {LOW - 1} {RIGHT - LEFT + 2} {HIGH - LOW + 2} re"
NOT_SHOWN: dict[str, tuple[str, Change]] = {
    "a layer off": ("hidden", _shown_by(OFF=lambda cut: ArrayObject([cut]))),
    "all layers off but two": (
        "hidden", _shown_by(
            BaseState=NameObject("/OFF"),
            ON=lambda cut: ArrayObject(IndirectObject(cut.idnum - n, 0, cut.pdf) for n in (1, 2)),
        ),
    ),
    "a layer not printed": ("hidden", _shown_by(AS=_wish)),
    "white": ("hidden", _on_tab("1 1 1 RG")),
    "white by ink": ("hidden", _on_tab("0 0 0 0 K")),
    "white of a space": ("hidden", _on_tab("/DeviceGray CS 1 SC")),
    "of no opacity": ("hidden", _named_ink(CA=NumberObject(0))),
    "dashed": ("dashed", _on_tab("[4 2] 0 d")),
    "dashed by name": (
        "dashed", _named_ink(D=ArrayObject([ArrayObject([NumberObject(3)]), NumberObject(0)]))
    ),
    "covered": ("hidden", _content(lambda text: f"{text}\n1 1 1 rg {OVER_TAB} f")),
    "half covered": ("hidden", _content(lambda text: f"{text}\n{LEFT + 9} {LOW - 9} 90 90 re f*")),
    "clipped": ("clipped", _on_tab(f"{LEFT - 3} {LOW - 3} 30 90 re W n")),
    "clipped away": ("clipped", _on_tab("0 0 5 5 re W n")),
    "a smaller sheet": ("clipped", _on_page("/MediaBox", _box(0, 0, RIGHT - 5, 793.7))),
    "turned": ("turned-page", _on_page("/Rotate", NumberObject(90))),
    "turned over": ("turned-page", _on_page("/Rotate", NumberObject(-180))),
    "cropped": ("cropped-page", _on_page("/CropBox", _box(0, 0, RIGHT - 5, 793.7))),
    "in other units": ("true-size", _on_page("/UserUnit", FloatObject(2))),
    "a page twice": ("page-twice", _page_again),
}  # fmt: skip


def _codes(folder: Path, content: bytes) -> list[str]:
    out = write_folder(folder, usual_layout(), {})
    (out / "load-01.pdf").write_bytes(content)
    return [finding.code for finding in check_paths([out]).findings]


@pytest.mark.parametrize("fault", NOT_SHOWN)
def test_what_is_not_printed_as_it_was_laid_out_is_one_fault(tmp_path: Path, fault: str) -> None:
    """Told once, though a layer has many lines."""
    code, change = NOT_SHOWN[fault]
    codes = _codes(tmp_path, _edited(change))
    if fault in ("half covered", "a smaller sheet"):  # it takes several pieces
        assert set(codes) == {code}
    elif fault == "in other units":  # and then nothing lies where it should
        assert code in codes
    else:
        assert codes == [code]


SOUND: dict[str, Change] = {
    "as it is": lambda _writer: None,
    "a clip round all": _before_cut("0 0 9999 9999 re W n"),
    "an area painted before": _content(lambda text: f"0.9 g {OVER_TAB} f\n{text}"),
    "an area painted elsewhere": _content(lambda text: f"{text}\n0 0 9 9 re f"),
    "dashes taken back": _on_tab("[4 2] 0 d [] 0 d"),
    "full ink of a spot colour": _on_tab("/Spot CS 1 SCN"),
    "layers on": _shown_by(ON=lambda cut: ArrayObject([cut])),
    "a crop round all": _on_page("/CropBox", _box(-9, -9, 9999, 9999)),
    "a full turn": _on_page("/Rotate", NumberObject(360)),
    "half an opacity": _named_ink(CA=FloatObject(0.5)),
    "trimmed": _on_page("/TrimBox", _box(0, 0, 50, 50)),
    "a hair's width": _on_tab("0 w"),
}


@pytest.mark.parametrize("way", SOUND)
def test_what_changes_nothing_that_is_seen_is_no_fault(tmp_path: Path, way: str) -> None:
    """Clips that leave all, areas beneath, boxes that nobody prints by."""
    assert _codes(tmp_path, _edited(SOUND[way])) == []


def test_a_line_on_two_pages_is_whole_if_together_they_show_it(tmp_path: Path) -> None:
    """One page without its right half, another without its left; one alone is a fault."""

    def halves(both: bool) -> Change:
        def apply(writer: pypdf.PdfWriter) -> None:
            first = writer.pages[1]
            middle = (LEFT + RIGHT) / 2
            if both:
                second = writer.add_blank_page(2000, 2000)
                for key in map(NameObject, ("/Contents", "/Resources", "/VP")):
                    second[key] = first.raw_get(key)
                second[NameObject("/MediaBox")] = _box(middle - 9, 0, 2000, 2000)
            first[NameObject("/MediaBox")] = _box(0, 0, middle + 9, 2000)

        return apply

    both = _codes(tmp_path / "both", _edited(halves(True)))
    assert set(both) <= {"page-twice"}  # their content is the same
    assert set(_codes(tmp_path / "one", _edited(halves(False)))) == {"clipped"}
