"""The order of strokes: each once, and never a longer way than the order given."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

from cutfiles.core.outline import Circle, Contour, Path, line, ring
from cutfiles.passes.travel import in_short_order

spots = st.tuples(st.integers(0, 300), st.integers(0, 300))


@st.composite
def strokes(draw: st.DrawFn) -> Contour:
    """Lines, circles and triangles anywhere on a mat."""
    x, y = draw(spots)
    kind = draw(st.sampled_from(["line", "circle", "ring"]))
    if kind == "circle":
        return Circle(float(x), float(y), 5.0)
    if kind == "ring":
        return ring((x, y), (x + 9, y), (x, y + 9))
    end_x, end_y = draw(spots)
    return line((x, y), (end_x + 0.5, end_y))


groups = st.lists(st.lists(strokes(), min_size=1, max_size=3), max_size=12)


def ends_of(path: Contour) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return where the tool comes down and where it goes up."""
    if isinstance(path, Circle):
        start = (path.x + path.radius, path.y)
        return start, start
    corners = [(vertex.x, vertex.y) for vertex in path.vertices]
    return corners[0], corners[0] if isinstance(path, Path) and path.closed else corners[-1]


def way(order: list[list[Contour]]) -> float:
    """Return how far the tool travels between groups, from the mat's corner on."""
    here, total = (0.0, 0.0), 0.0
    for group in order:
        total += math.dist(here, ends_of(group[0])[0])
        here = ends_of(group[-1])[1]
    return total


@given(given_groups=groups)
def test_the_order_runs_every_group_once_and_no_further_than_the_one_given(
    given_groups: list[list[Contour]],
) -> None:
    """A permutation of what was given, and travel never grows."""
    order = in_short_order(given_groups)
    assert sorted(order) == list(range(len(given_groups)))
    assert way([given_groups[index] for index in order]) <= way(given_groups) + 1e-6


def test_the_nearest_stroke_is_next() -> None:
    """From the corner outwards, whatever order they came in."""
    far, near, middle = (line((x, 0), (x + 1, 0)) for x in (90, 10, 50))
    assert in_short_order([[far], [near], [middle]]) == [1, 2, 0]


def test_nearness_counts_from_where_the_tool_goes_up() -> None:
    """After a long line the stroke beside its far end is next, not the one beside its start."""
    long, behind, beyond = line((0, 0), (100, 0)), line((1, 0), (2, 0)), line((101, 0), (102, 0))
    assert in_short_order([[long], [behind], [beyond]]) == [0, 2, 1]


def test_a_detour_of_the_nearest_first_is_not_taken() -> None:
    """Where always taking the nearest runs back and forth, the order given stands."""
    paths = [line((x, 0), (x, 0.01)) for x in (-4.0, 3.0, 20.0)]
    paths.append(line((60, 0), (60, 0.01)))
    order = in_short_order([[path] for path in paths])
    assert way([[paths[index]] for index in order]) <= way([[path] for path in paths])
    assert order == [0, 1, 2, 3]


def test_nothing_to_run_is_an_empty_order() -> None:
    """A load without strokes is no special case."""
    assert in_short_order([]) == []
