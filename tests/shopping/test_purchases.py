"""What must be bought: against strips counted by closed form, and bought as told it makes the job."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from cutfiles import Options, buy, make, parse_job
from cutfiles.core.errors import UnmetError
from cutfiles.job.model.job import Job
from cutfiles.shopping.shopping_list import Length, Pieces, ShoppingList
from tests.conftest import briefly

IN = 25.4
PLATE = "[plate]\ncount = {count}\nblades = 20\nsewn = {sewn}\nblade_length = 4.75\ninner_radius = 1.25\n"
# A mat that takes the whole width: strips of the closed form are ruled by hand across it.
STRIP = PLATE + (
    '[machine]\ngap = 0\nregister = "none"\n[mat]\nwidth = 42.5\nheight = 24\n'
    '[[fabric]]\nname = "tide"\nwidth = 42\nlength = "as needed"\n'
)
# Greedy rules never find more than a search does: what holds of what they find holds all the more.
QUICK = Options(around_search=briefly, processes=1)
USUAL = Options(processes=1)


def _list(text: str) -> ShoppingList:
    return buy(parse_job(text), QUICK)


def _length(shopping: ShoppingList, fabric: str = "tide") -> Length:
    (item,) = [item for item in shopping.items if item.fabric == fabric]
    assert isinstance(item, Length)
    return item


def _pieces(shopping: ShoppingList, fabric: str = "tide") -> Pieces:
    (item,) = [item for item in shopping.items if item.fabric == fabric]
    assert isinstance(item, Pieces)
    return item


def _across(usable: float, *, gap: float = 0.0) -> int:
    """Blades side by side, turned end for end, in a strip across the cloth; all in inches."""
    half = math.pi / 20
    narrow, wide = (2 * (radius * math.tan(half) + 0.25 / math.cos(half)) for radius in (1.25, 6.0))
    between = gap / math.cos(half)
    return math.floor((usable - (wide - narrow) / 2 + between) / ((wide + narrow) / 2 + between))


@pytest.mark.parametrize("plates", [1, 6])
def test_never_more_is_bought_than_strips_across_the_cloth_take(plates: int) -> None:
    """Of 42 in, 24 blades to a strip of 4 3/4 in: 120 blades are 5 strips, 23 3/4 in, 3/4 yd."""
    assert _across(42) == 24
    strips = -(-20 * plates // 24) * 4.75
    item = _length(_list(STRIP.format(count=plates, sewn=20)))
    assert item.needed_mm <= strips * IN + 1e-6
    assert item.buy_mm <= math.ceil(strips / 4.5) * 4.5 * IN + 1e-6
    if plates == 6:
        assert strips == 23.75
        assert item.sold.words(item.buy_mm) == "3/4 yd"


def test_on_a_narrow_mat_strips_are_laid_in_parts() -> None:
    """Two parts of 21 in hold 12 blades each: 120 blades are five rows, whatever full mats take."""
    text = STRIP.replace("width = 42.5\nheight = 24", "width = 12\nheight = 24")
    assert 2 * _across(21) == 24
    assert _length(_list(text.format(count=6, sewn=20))).needed_mm <= 5 * 4.75 * IN + 1e-6


def test_what_shrinks_and_is_lost_is_bought() -> None:
    """Three squares of 13 in side by side, 5 % shorter once washed, 2 in of ends, in quarter yards."""
    text = PLATE.format(count=3, sewn=20) + "[background]\ncut = 13\n[[fabric]]\n"
    blades = 'name = "tide"\nwidth = 5\nlength = 5\npieces = 60\ncuts = { blade = "rest" }\n'
    rest = (
        'name = "sailcloth"\nwidth = 42\nlength = "as needed"\nshrink = { width = 2, length = 5 }\nends = 2\n'
        'sold = "1/4 yd"\ncuts = { background = "rest" }\n'
    )
    item = _length(_list(f"{text}{blades}[[fabric]]\n{rest}"), "sailcloth")
    assert item.width_mm == pytest.approx(42 * IN)
    assert item.needed_mm / IN == pytest.approx(13 / 0.95 + 2)
    assert item.words(parse_job(text.replace("[[fabric]]\n", "")).unit) == (
        "1/2 yd of 42 in wide fabric (15 11/16 in (15.6842) needed)"
    )


def test_kits_of_squares_are_counted_in_packs() -> None:
    """11 squares to a kit, 12 kits, 42 to the pack: 132 squares are 4 packs."""
    text = PLATE.format(count=1, sewn=11) + (
        "[kits]\ncount = 12\n"
        '[[fabric]]\nname = "tide"\nwidth = 2.5\nlength = 5\npieces = "as needed"\npack = 42\n'
    )
    shopping = _list(text)
    item = _pieces(shopping)
    assert (item.pieces, item.packs, dict(item.gives)) == (132, 4, {"blade": 132})
    assert shopping.total() == "4 packs"


def test_a_pack_of_several_prints_is_counted_over_all_of_them() -> None:
    """Two blades to a square: 8 and 6 and 6 blades are ten squares, in packs of four."""
    text = PLATE.format(count=1, sewn=20) + (
        '[[fabric]]\nnames = ["tide", "shingle", "lantern"]\nwidth = 5\nlength = 5\npieces = "as needed"\n'
        "pack = 4\n"
    )
    shopping = _list(text)
    (packs,) = shopping.mixed_packs
    assert (packs.fabrics, packs.pieces, packs.packs) == (("tide", "shingle", "lantern"), 10, 3)
    assert [_pieces(shopping, name).packs for name in packs.fabrics] == [None, None, None]
    assert shopping.total() == "3 packs"
    assert not any(_pieces(shopping, name).least for name in packs.fabrics)  # they share: none is sure alone


def _as_bought(job: Job, shopping: ShoppingList, *, less: int = 0) -> Job:
    """The job with what is bought as its pieces."""
    fabrics = []
    for fabric, item in zip(job.fabrics, shopping.items, strict=True):
        if isinstance(item, Pieces):
            fabrics.append(replace(fabric, pieces_as_needed=False, pieces=item.pieces - less))
        else:
            length = fabric.purchase.usable_length_mm(item.buy_mm)
            fabrics.append(replace(fabric, as_needed=False, length_mm=length))
    return replace(job, fabrics=tuple(fabrics))


@pytest.mark.parametrize(
    ("blade", "count", "fabric", "options"),
    [
        ("4.75\ninner_radius = 1.25", 1, 'width = 5\nlength = 5\npieces = "as needed"\nspare = 1\n', QUICK),
        ("4.75\ninner_radius = 1.25", 1, 'width = 9\nlength = 11\npieces = "as needed"\n', QUICK),
        ("5\ninner_radius = 1", 1, 'width = 42\nlength = "as needed"\nmargin = "1/4"\n', QUICK),
        # Just a yard is needed: bands full of blades would leave too little for the last ones.
        (
            "6\ninner_radius = 2",
            3,
            'width = 42\nlength = "as needed"\nshrink = { width = 3, length = 4 }\nends = 1\n',
            USUAL,
        ),
    ],
)
def test_what_is_bought_makes_the_job(blade: str, count: int, fabric: str, options: Options) -> None:
    """Written into the job as its pieces; on a piece less it isn't made, where that is said."""
    job = parse_job(
        f'[plate]\ncount = {count}\nblades = 20\nblade_length = {blade}\n[[fabric]]\nname = "tide"\n{fabric}'
    )
    shopping = buy(job, options)
    made = make(_as_bought(job, shopping), options)
    (item,) = shopping.items
    assert [tally.counts for tally in made.nested.tallies] == [item.gives]
    assert isinstance(item, Length) or item.least
    if isinstance(item, Pieces):
        with pytest.raises(UnmetError):
            make(_as_bought(job, shopping, less=1), options)


def test_all_that_is_short_is_said_beside_what_is_bought() -> None:
    """Two fabrics that are there give too little; the third is still counted."""
    text = (
        PLATE.format(count=1, sewn=20)
        + "[centre]\n[background]\ncut = 13\n"
        + (
            '[[fabric]]\nname = "tide"\nwidth = 5\nlength = 5\npieces = 2\ncuts = { blade = "rest" }\n'
            '[[fabric]]\nname = "lantern"\nwidth = 3\nlength = 3\ncuts = { centre = "rest" }\n'
            '[[fabric]]\nname = "sailcloth"\nwidth = 14\nlength = 14\npieces = "as needed"\n'
            'cuts = { background = "rest" }\n'
        )
    )
    shopping = _list(text)
    assert len(shopping.shortages) == 2
    assert any("8 more pieces would do" in line for line in shopping.shortages)
    assert any(line.startswith("1 centre still to be cut") for line in shopping.shortages)
    assert _pieces(shopping, "sailcloth").pieces == 1


def test_what_was_found_in_a_hurry_says_so() -> None:
    """With next to no time; left to itself it doesn't."""
    text = PLATE.format(count=2, sewn=20) + (
        '[[fabric]]\nname = "tide"\nwidth = 18\nlength = 22\npieces = "as needed"\n'
    )
    job = parse_job(text)
    hurried = _pieces(buy(job, replace(QUICK, time_s=1e-6)))
    assert hurried.hurried
    assert not hurried.least
    assert "found in a hurry" in hurried.words(job.unit)
    assert hurried.json()["hurried"] is True
    calm = _pieces(buy(job, QUICK))
    assert not calm.hurried
    assert "hurry" not in calm.words(job.unit)
    assert hurried.pieces >= calm.pieces
