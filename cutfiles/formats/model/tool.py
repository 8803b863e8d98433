"""The tools of a machine, and what its pen can draw; the job file's words for both."""

from __future__ import annotations

from enum import Enum


class Tool(Enum):
    """What touches the fabric, in the order in which the tools run."""

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
