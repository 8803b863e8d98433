"""Lines of an SVG that nobody sees, or that aren't what they seem; drawings moved about that are sound."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from cutfiles.check.check import check_paths
from cutfiles.formats.svg import read_uses
from cutfiles.formats.svg.read import read_svg
from tests.check.drawings import drawing_of, svg_text, usual_layout, write_folder
from tests.texts import replaced

COLOURS = {"draw": "#0072b2", "register": "#009e73", "cut": "#cc79a7"}
TAB = 'id="tide-tab-002"'
Change = Callable[[str], str]


def _svg() -> str:
    """The usual load with strokes, as programs write it."""
    text = svg_text(drawing_of(usual_layout()))
    for layer, colour in COLOURS.items():
        text = text.replace(f'<g id="{layer}">', f'<g id="{layer}" fill="none" stroke="{colour}">')
    return text


def _on(where: str, said: str) -> Change:
    def change(text: str) -> str:
        assert where in text
        return text.replace(where, f"{where} {said}", 1)

    return change


def _on_cut(said: str) -> Change:
    return _on('<g id="cut"', said)


def _on_tab(said: str) -> Change:
    return _on(TAB, said)


CUT_GREEN = replaced('stroke="#cc79a7"', 'stroke="#0072B2"')
NOT_SHOWN: dict[str, tuple[str, Change]] = {
    "a piece not displayed": ("hidden", _on_tab('display="none"')),
    "a layer not displayed": ("hidden", _on_cut('display="none"')),
    "not displayed by its style": ("hidden", _on_tab('style="fill:none; display: none"')),
    "a whole file not displayed": ("hidden", _on("<svg", 'display="none"')),
    "hidden": ("hidden", _on_tab('visibility="hidden"')),
    "a layer hidden": ("hidden", _on_cut('visibility="hidden"')),
    "collapsed by its style": ("hidden", _on_cut('style="visibility:collapse"')),
    "no stroke": ("hidden", _on_tab('stroke="none"')),
    "a layer without stroke": ("hidden", replaced(' stroke="#cc79a7"', "")),
    "a transparent stroke": ("hidden", _on_tab('stroke="rgba(0, 114, 178, 0)"')),
    "a stroke without width": ("hidden", _on_tab('stroke-width="0"')),
    "a layer's stroke without width": ("hidden", _on_cut('stroke-width="0mm"')),
    "no opacity": ("hidden", _on_tab('opacity="0"')),
    "a layer of no opacity": ("hidden", _on_cut('opacity="0.0"')),
    "a stroke of no opacity": ("hidden", _on_cut('stroke-opacity="0%"')),
    "no opacity by its style": ("hidden", _on_tab('style="opacity:0"')),
    "white": ("hidden", _on_cut('style="stroke:#FFF"')),
    "in German only": ("hidden", _on_tab('systemLanguage="de"')),
    "with a feature only": ("hidden", _on_cut('requiredExtensions="http://example.org/none"')),
    "dashed": ("dashed", _on_tab('stroke-dasharray="4 2"')),
    "a layer dashed": ("dashed", _on_cut('style="stroke-dasharray:3,1"')),
    "clipped": ("clipped", _on_tab('clip-path="url(#hoop)"')),
    "a layer masked": ("clipped", _on_cut('mask="url(#hoop)"')),
    "a layer through a filter": ("clipped", _on_cut('filter="url(#hoop)"')),
    "a piece in the pen's colour": ("wrong-colour", _on_tab('stroke="#0072B2"')),
    "the cut in the pen's colour": ("wrong-colour", CUT_GREEN),
    "a style sheet elsewhere": (
        "style-sheet", lambda text: '<?xml-stylesheet href="harbour.css" type="text/css"?>\n' + text
    ),
    "a style sheet in what is defined": (
        "style-sheet", replaced("<g id=", "<defs><style>g{}</style></defs><g id=")
    ),
}  # fmt: skip


def _codes(folder: Path, text: str) -> list[str]:
    return [
        finding.code
        for finding in check_paths([write_folder(folder, usual_layout(), {"svg": text})]).findings
    ]


@pytest.mark.parametrize("fault", NOT_SHOWN)
def test_what_is_not_shown_as_it_is_run_is_one_fault(tmp_path: Path, fault: str) -> None:
    """In a file of ours, and once, however many lines it is about."""
    code, change = NOT_SHOWN[fault]
    assert _codes(tmp_path, change(_svg())) == [code]


@pytest.mark.parametrize("fault", NOT_SHOWN)
def test_it_is_a_fault_of_a_file_from_elsewhere_too(tmp_path: Path, fault: str) -> None:
    """No layout is needed to see it."""
    code, change = NOT_SHOWN[fault]
    path = tmp_path / "harbour.svg"
    path.write_text(change(_svg()), encoding="utf-8")
    assert [finding.code for finding in check_paths([path]).findings] == [code]


def _used(text: str) -> str:
    """The whole drawing defined, and then used."""
    opened, inside = re.fullmatch(r"(<svg[^>]*>)(.*)</svg>\n", text, re.DOTALL).groups()  # type: ignore[union-attr]
    return f'{opened}<defs><g id="all">{inside}</g></defs><use href="#all"/></svg>'


def _used_before(text: str) -> str:
    """The same, used before it is defined, as older programs refer to it."""
    opened, defined, uses = re.fullmatch(
        r"(<svg[^>]*>)(<defs>.*</defs>)(<use.*/>)</svg>", _used(text), re.DOTALL
    ).groups()  # type: ignore[union-attr]
    uses = uses.replace("href=", 'xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href=')
    return f"{opened}{uses}{defined}</svg>"


SOUND: dict[str, Change] = {
    "as it is": lambda text: text,
    "defined and used": _used,
    "used before it is defined": _used_before,
    "each layer used": lambda text: re.sub(
        r'<g (id="(\w+)".*?)</g>', r'<defs><g \1</g></defs><use href="#\2" x="0"/>', text, flags=re.DOTALL
    ),
    "a link round a piece": lambda text: re.sub(f"(<[a-z]+ {TAB}[^>]*/>)", r'<a href="#tide">\1</a>', text),
    "a link round all layers": lambda text: (
        text.replace("<g ", '<a href="#tide"><g ', 1).replace("</svg>", "</a></svg>")
    ),
    "a group round all layers": lambda text: (
        text.replace("<g ", '<g id="harbour"><g ', 1).replace("</svg>", "</g></svg>")
    ),
    "shown again inside": lambda text: (
        text.replace("<svg ", '<svg visibility="hidden" ').replace("<g ", '<g visibility="visible" ')
    ),
    "no dashes": _on_cut('stroke-dasharray="none"'),
    "half seen": _on_cut('opacity="0.5" stroke-width="0.1"'),
    "a colour spelt otherwise": _on_tab('stroke="rgb(204,121,167)"'),
    "an unused definition": replaced("<g id=", '<defs><path id="knot" d="M0 0L9 9"/></defs><g id='),
}  # fmt: skip


@pytest.mark.parametrize("way", SOUND)
def test_a_sound_drawing_is_sound_in_any_place(tmp_path: Path, way: str) -> None:
    """Moved, linked, grouped: the same lines on the same layers."""
    text = SOUND[way](_svg())
    assert _codes(tmp_path, text) == []
    lines = {(item.layer, item.piece_id) for item in read_svg(text.encode()).drawing.items}
    assert lines == {(item.layer, item.piece_id) for item in read_svg(_svg().encode()).drawing.items}


def test_what_is_used_twice_is_cut_twice(tmp_path: Path) -> None:
    """So the outlines of the second are doubled."""
    text = _used(_svg()).replace("</svg>", '<use href="#all"/></svg>')
    assert "doubled-cut" in _codes(tmp_path, text)


@pytest.mark.parametrize(
    ("use", "code"),
    [
        ('<use href="#nowhere"/>', "unknown-element"),
        ('<use href="other.svg#all"/>', "unknown-element"),
        ('<use href="#all" transform="scale(2)"/>', "transform"),
        ('<use href="#all" x="3"/>', "transform"),
        ('<use href="#all" display="none"/>', "hidden"),
    ],
)
def test_a_use_that_is_not_plain_is_told(tmp_path: Path, use: str, code: str) -> None:
    """What it uses is measured where it was defined."""
    text = _used(_svg()).replace('<use href="#all"/>', use)
    assert code in _codes(tmp_path, text)


def test_in_what_is_clipped_other_flaws_are_told_too(tmp_path: Path) -> None:
    """A program that passes over the clip may still leave a line out."""
    text = _on_tab('visibility="hidden"')(_on_cut('clip-path="url(#hoop)"')(_svg()))
    assert sorted(_codes(tmp_path, text)) == ["clipped", "hidden"]


def test_parts_used_within_parts_that_are_used_come_to_an_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A few kilobytes of them would fill the memory."""
    monkeypatch.setattr(read_uses, "MOST_PARTS", 100)
    nested = "".join(f'<g id="n{n}"><use href="#n{n}"/>' for n in range(20)) + "</g>" * 20
    text = _svg().replace("</svg>", f"<defs>{nested}</defs></svg>")
    assert _codes(tmp_path, text) == ["too-much"]


def test_what_uses_itself_comes_to_an_end(tmp_path: Path) -> None:
    """Rather a clear word than a drawing without end."""
    text = _used(_svg()).replace("</g></defs>", '<use href="#all"/></g></defs>')
    assert _codes(tmp_path, text) == ["too-much"]
