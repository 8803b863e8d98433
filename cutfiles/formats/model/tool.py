"""The tools of a machine, and what its pen can draw; the job file's words for both."""

from __future__ import annotations

from enum import Enum


class Tool(Enum):
    """What touches mat and fabric, in the order in which the tools run."""

    PLACE = "place"  # the pen, before any fabric lies there: outlines to lay the fabric on
    DRAW = "draw"
    REGISTER = "register"
    CUT = "cut"


class Drawn(Enum):
    """What the pen can draw, in the order in which it does."""

    SEW = "sew"
    FOLD = "fold"
    NOTCH = "notch"
    GRAIN = "grain"
    LABEL = "label"
    CUT = "cut"  # the cut line itself, for those who cut with scissors
