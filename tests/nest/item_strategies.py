"""Items of every kind, for tests by Hypothesis."""

from __future__ import annotations

from hypothesis import strategies as st

from cutfiles.nest.base.oriented_item import OrientedItem, oriented_item
from cutfiles.pieces.own_outline import outline_shape
from cutfiles.pieces.plate_shapes import blade_shape
from cutfiles.pieces.shape import Shape
from cutfiles.tips.registry import Tip
from tests import strategies
from tests.nest.jobs import blade_of, centre_circle

QUARTERS = (0.0, 90.0, 180.0, 270.0)


@st.composite
def shapes(draw: st.DrawFn) -> Shape:
    """Blades of every tip, circles, and outlines with and without bays."""
    kind = draw(st.sampled_from(["blade", "centre", "leaf"]))
    if kind == "centre":
        return centre_circle(draw(st.floats(0.4, 2.5)))
    if kind == "blade":
        return blade_shape(blade_of(draw(st.integers(6, 30)), tip=draw(st.sampled_from(Tip))))
    return outline_shape(draw(strategies.outline_specs()))


@st.composite
def items(draw: st.DrawFn) -> OrientedItem:
    """Any shape at a quarter turn, mirrored or not."""
    return oriented_item(
        draw(shapes()), turn_deg=draw(st.sampled_from(QUARTERS)), mirrored=draw(st.booleans())
    )
