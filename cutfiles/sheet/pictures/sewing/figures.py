"""The sewing pictures set into the sheet: numbered throughout, several to a row."""

from __future__ import annotations

from collections.abc import Sequence

from cutfiles.core.units import Unit
from cutfiles.sheet.markup.markup import Element, html
from cutfiles.sheet.pictures.sewing.stage import stage_drawing
from cutfiles.tips.stage import Stage

_FOUR = 4  # of them lie in one row, where it would be two of three


class SewingPictures:
    """The pictures of one sheet, numbered in the order in which they are asked for."""

    __slots__ = ("_number", "_unit")

    def __init__(self, unit: Unit) -> None:
        self._unit = unit
        self._number = 0

    def row(self, stages: Sequence[Stage]) -> list[Element]:
        """Return the pictures of some stages, each with its number and words; nothing for none."""
        if not stages:
            return []
        columns = "stages four" if len(stages) == _FOUR else "stages"
        return [html("div", *(self._figure(stage) for stage in stages), class_=columns)]

    def strip(self, heading: str, stages: Sequence[Stage]) -> list[Element]:
        """Return one figure of several pictures that belong together; nothing for none."""
        if not stages:
            return []
        self._number += 1
        drawings = [stage_drawing(stage, self._unit) for stage in stages]
        words = "; ".join(stage.caption for stage in stages)
        caption = html(
            "figcaption", html("span", str(self._number), class_="of-picture"), f" {heading}: {words}"
        )
        return [html("figure", html("div", *drawings, class_="strip"), caption, class_="strip")]

    def _figure(self, stage: Stage) -> Element:
        self._number += 1
        caption = html(
            "figcaption", html("span", str(self._number), class_="of-picture"), f" {stage.caption}"
        )
        return html("figure", stage_drawing(stage, self._unit), caption)
