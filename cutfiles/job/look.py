"""How machine files are to look: their formats, the `[layers]`, what `[machine]` says of a plotter."""

from __future__ import annotations

import re

from cutfiles.core.errors import JobError
from cutfiles.job import fields
from cutfiles.job.model import HpglArcs, LayerSpec, LayersSpec, PlotterSpec
from cutfiles.job.section import Section, either, quoted

_NAME = re.compile(r"[A-Z0-9$_-]{1,31}")
_COLOUR = re.compile(r"#[0-9A-Fa-f]{6}")
# In every DXF, and never plotted or not what they seem.
_RESERVED = ("0", "DEFPOINTS")


def layers_of(section: Section) -> LayersSpec:
    """Return names and colours of the layers.

    Raises:
        JobError: a name that DXF R12 doesn't allow, no colour, or two layers alike.
    """
    usual = LayersSpec()
    layers = {
        "draw": _layer(section, "draw", usual.draw),
        "register": _layer(section, "register", usual.register),
        "cut": _layer(section, "cut", usual.cut),
    }
    for what in ("name", "colour"):
        seen: dict[str, str] = {}
        for key, layer in layers.items():
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
    own = Section(f"{section.where}.{key}", fields.LAYER, value, section.unit)
    return LayerSpec(_name(own, usual.name), _colour(own, usual.colour))


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


def _colour(section: Section, usual: str) -> str:
    _, value = section.value("colour")
    if value is None:
        return usual
    if not isinstance(value, str) or not _COLOUR.fullmatch(value):
        raise section.error(
            "colour", f'{quoted(value)} is not a colour; write red, green and blue as "{usual}"'
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


def formats_of(section: Section, *, where: str = "output.files") -> tuple[str, ...]:
    """Return the formats of the machine files.

    Raises:
        JobError: an unknown format, one named twice, or none.
    """
    value = section.raw.get("files")
    for word in value if isinstance(value, list) else ():
        if word in fields.LATER_FORMATS:
            raise JobError(where, f"{quoted(word)} is not written yet; choose {either(fields.FORMATS)}")
    try:
        formats = section.choices("files")
    except JobError as error:
        raise JobError(where, error.says) from None
    if not formats:
        raise JobError(where, f"names no format; choose {either(fields.FORMATS)}")
    return formats
