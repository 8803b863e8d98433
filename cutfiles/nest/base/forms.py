"""The forms of a job's shapes, each made once; layouts as plain values that other processes understand."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cutfiles.nest.base.form import Form, form_of
from cutfiles.nest.base.ground import Ground
from cutfiles.nest.base.placed import Laid
from cutfiles.nest.base.turns import tried
from cutfiles.pieces.shape import Shape

# Shape, turn, whether mirrored, x, y: a form is known by who it is, which does not survive a journey.
Plain = tuple[tuple[str, float, bool, float, float], ...]


class Forms:
    """Makes forms when they are first asked for; the same question gives the same form."""

    def __init__(self, shapes: Sequence[Shape]) -> None:
        self.shapes = {shape.name: shape for shape in shapes}
        self._forms: dict[tuple[str, float, bool], Form] = {}

    def of(self, shape: str, turn_deg: float, mirrored: bool) -> Form:
        """Return a shape's form at a turn."""
        key = (shape, turn_deg, mirrored)
        if key not in self._forms:
            self._forms[key] = form_of(self.shapes[shape], turn_deg=turn_deg, mirrored=mirrored)
        return self._forms[key]

    def on(self, ground: Ground, *shapes: str) -> tuple[Form, ...]:
        """Return each shape at each allowed turn, once where turns make no difference, as with a circle."""
        found: list[Form] = []
        for shape in shapes:
            for turn in tried(ground.turns):
                form = self.of(shape, turn, ground.mirrored)
                if not any(form.alike(other) for other in found):
                    found.append(form)
        return tuple(found)

    def laid(self, plain: Plain) -> tuple[Laid, ...]:
        """Return a layout from plain values."""
        return tuple(Laid(self.of(shape, turn, mirrored), x, y) for shape, turn, mirrored, x, y in plain)


def plain(laid: Iterable[Laid]) -> Plain:
    """Return a layout as plain values."""
    return tuple((one.form.shape, one.form.turn_deg, one.form.mirrored, one.x_mm, one.y_mm) for one in laid)


def moved(laid: Iterable[Laid], by_mm: float) -> tuple[Laid, ...]:
    """Return a layout moved along both axes: into a ground from its room, or back."""
    return tuple(Laid(one.form, one.x_mm + by_mm, one.y_mm + by_mm) for one in laid)


def standing_for(laid: Iterable[Laid], forms: Sequence[Form]) -> tuple[Laid, ...]:
    """Return a layout of forms that keep the same for themselves: a circle has one for all turns."""
    return tuple(
        Laid(next(form for form in forms if form is one.form or form.alike(one.form)), one.x_mm, one.y_mm)
        for one in laid
    )
