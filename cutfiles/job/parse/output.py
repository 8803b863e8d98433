"""The output style: formats, the `[layers]`, what `[machine]` says of a plotter, and the paper."""

from __future__ import annotations

import re

from cutfiles.core.errors import JobError
from cutfiles.core.tolerance import RULE_MM
from cutfiles.core.units import MM_PER_INCH, Unit, in_both
from cutfiles.formats.model.style import HpglArcs, LayerSpec, LayersSpec, PlotterSpec
from cutfiles.formats.paper.sizes import Paper, PaperSpec
from cutfiles.formats.registry import FORMATS
from cutfiles.job.parse.section import Section, either, quoted
from cutfiles.job.schema.output import LAYER

_NAME = re.compile(r"[A-Z0-9$_-]{1,31}")
_COLOUR = re.compile(r"#[0-9A-Fa-f]{6}")
# In every DXF, and never plotted or not what they seem.
_RESERVED = ("0", "DEFPOINTS")
# Least and most. Otherwise a page has no room for its squares and what stands beside them.
_ROLL_MM = (200.0, 2000.0)
_PAPER_MARGIN_MM = (3.0, MM_PER_INCH)
# Less has no room for the marks to lay pages together by, more is waste.
_OVERLAP_MM = (5.0, 50.0)


def layers_of(section: Section, *, place: bool) -> LayersSpec:
    """Return names and colours of the layers; what place has matters only where it is drawn.

    Raises:
        JobError: a name that DXF R12 doesn't allow, no colour, or two layers alike.
    """
    usual = LayersSpec()
    layers = {
        "draw": _layer(section, "draw", usual.draw),
        "register": _layer(section, "register", usual.register),
        "cut": _layer(section, "cut", usual.cut),
        "place": _layer(section, "place", usual.place),
    }
    for what in ("name", "colour"):
        seen: dict[str, str] = {}
        for key, layer in layers.items():
            if key == "place" and not place:
                continue
            value = getattr(layer, what)
            if value in seen:
                says = f"{quoted(value)} is the {what} of {seen[value]} too; choose another"
                raise JobError(f"{section.where}.{key}.{what}", says)
            seen[value] = key
    return LayersSpec(**layers)


def _layer(section: Section, key: str, usual: LayerSpec) -> LayerSpec:
    _, value = section.value(key)
    if value is None:
        return usual
    if not isinstance(value, dict):
        hint = f'write {key} = {{ name = "{usual.name}", colour = "{usual.colour}" }}'
        raise section.error(key, f"{quoted(value)} is not a table; {hint}")
    own = Section(f"{section.where}.{key}", LAYER, value, section.unit)
    return LayerSpec(_name(own, usual.name), colour_of(own, usual.colour))


def _name(section: Section, usual: str) -> str:
    _, value = section.value("name")
    if value is None:
        return usual
    if not isinstance(value, str) or not _NAME.fullmatch(value):
        raise section.error(
            "name", f"{quoted(value)} is not allowed; use 1 to 31 of A to Z, 0 to 9, $, _ and -"
        )
    if value in _RESERVED:
        raise section.error("name", f"{quoted(value)} means something else in DXF; choose another")
    return value


def colour_of(section: Section, usual: str, *, like: str = "") -> str:
    """Return a colour in capitals, `usual` where none is given; a message shows one `like` this.

    Raises:
        JobError: it is none.
    """
    _, value = section.value("colour")
    if value is None:
        return usual
    if not isinstance(value, str) or not _COLOUR.fullmatch(value):
        raise section.error(
            "colour", f'{quoted(value)} is not a colour; write red, green and blue as "{like or usual}"'
        )
    return value.upper()


def plotter_of(section: Section) -> PlotterSpec:
    """Return what the `[machine]` table says for HP-GL."""
    return PlotterSpec(
        arcs=section.choice("hpgl_arcs", HpglArcs),
        draw_speed=section.count("draw_speed"),
        cut_speed=section.count("cut_speed"),
        draw_force=section.count("draw_force"),
        cut_force=section.count("cut_force"),
    )


def paper_of(section: Section, unit: Unit) -> PaperSpec:
    """Return what the `[output]` table says of paper.

    Raises:
        JobError: unknown paper, a roll without its width or a width without a roll, a length beyond limits.
    """
    paper = Paper.LETTER if unit is Unit.IN else Paper.A4
    if "paper" in section.raw:
        paper = section.choice("paper", Paper)
    if paper is Paper.ROLL and "roll_width" not in section.raw:
        raise section.error("roll_width", 'is missing; give it beside paper = "roll"')
    if paper is not Paper.ROLL and "roll_width" in section.raw:
        raise section.error("roll_width", 'is for rolls only; leave it out, or write paper = "roll"')
    return PaperSpec(
        paper,
        _between(section, "roll_width", _ROLL_MM) if paper is Paper.ROLL else None,
        _between(section, "paper_margin", _PAPER_MARGIN_MM),
        _between(section, "paper_overlap", _OVERLAP_MM),
        unit,
    )


def _between(section: Section, key: str, limits_mm: tuple[float, float]) -> float:
    mm = section.sure_length(key)
    least, most = limits_mm
    if not least - RULE_MM <= mm <= most + RULE_MM:
        limits = " to ".join(in_both(limit, section.unit) for limit in limits_mm)
        raise section.error(key, f"{in_both(mm, section.unit)} is not allowed; give {limits}")
    return mm


def formats_of(section: Section, *, where: str = "output.files") -> tuple[str, ...]:
    """Return the formats of the machine files.

    Raises:
        JobError: an unknown format, one named twice, or none.
    """
    try:
        formats = section.choices("files")
    except JobError as error:
        raise JobError(where, error.says) from None
    if not formats:
        raise JobError(where, f"names no format; choose {either(tuple(FORMATS))}")
    return formats
