"""The tips that there are. A new one is a module of this folder, and a line here."""

from __future__ import annotations

from enum import Enum
from typing import Self

from cutfiles.tips.finish import Finish
from cutfiles.tips.flat import Flat
from cutfiles.tips.folded import Folded
from cutfiles.tips.round import Round


class Tip(Enum):
    """How a blade's wide end is finished. `value` is the job file's word, `finish` knows all the rest."""

    FOLDED = Folded()
    ROUND = Round()
    FLAT = Flat()

    _value_: str
    finish: Finish

    def __new__(cls, finish: Finish) -> Self:
        """Make the member of a finish, to be found by its word."""
        tip = object.__new__(cls)
        tip._value_ = finish.word
        tip.finish = finish
        return tip
