"""What given fabrics give: every answer is laid, and the next one isn't."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutfiles import Options, fit, make, parse_job
from cutfiles.core.errors import JobError, UnmetError
from cutfiles.job.model.job import Job
from cutfiles.nest.base.clock import Effort
from cutfiles.yields.fit import Fit
from cutfiles.yields.fit import fit as fit_job
from cutfiles.yields.longest import Lengths
from cutfiles.yields.plates import WholePlates, most_true, whole_plates
from cutfiles.yields.trial import Trial

IN = 25.4
ALONE = Options(("svg",), processes=1)
STASH = """
[plate]
blades = 20
sewn = 4
blade_length = "4 3/4"
inner_radius = "1 1/4"

[centre]
cover = "1/4"

[[fabric]]
name = "tide"
width = 5
length = 5
pieces = 9
cuts = { blade = "rest" }

[[fabric]]
name = "lantern"
width = 4
length = 4
pieces = 3
cuts = { centre = "rest" }

[mat]
width = 12
height = 12

[machine]
gap = 0
"""


def _job(text: str = STASH) -> Job:
    return parse_job(text)


@cache  # several tests look at different parts of one answer
def _fitted(text: str) -> Fit:
    return fit(_job(text), processes=1)


def _whole(job: Job) -> WholePlates:
    """The first part of the answer alone: the longest blades take most of the time."""
    return whole_plates(job, Trial(job, effort=Effort(1, 40)), most=40)


def test_whole_plates_and_what_is_over_are_told() -> None:
    """Nine squares hold two blades each: four plates of four, and two over; a fifth wants two more."""
    answer = _fitted(STASH)
    # Three squares of 4 in hold a centre each (3.53 in cut): they decide, and six blades are over.
    assert (answer.whole.plates, answer.whole.blades_over, answer.whole.limited_by) == (3, 6, "centre")
    more = _fitted(STASH.replace("pieces = 3", "pieces = 30"))
    assert (more.whole.plates, more.whole.blades_over, more.whole.limited_by) == (4, 2, "blade")


def test_what_one_piece_holds_was_found_not_bounded() -> None:
    """A 5 in square holds two blades of 4 3/4 in, whatever its area would take."""
    tide, lantern = _fitted(STASH).fabrics
    assert (dict(tide.holds), dict(tide.in_all)) == ({"blade": 2}, {"blade": 18})
    assert (dict(lantern.holds), dict(lantern.in_all)) == ({"centre": 1}, {"centre": 3})


@pytest.mark.parametrize(
    ("side", "gap", "longest"),
    [(4.75, 0.0, 4.75), (5.0, 0.0, 5.0), (2.5, 0.0, 1.464), (2.5, 1 / 16, 1.331)],
)
def test_the_longest_two_in_a_square_agree_with_rows_end_for_end(
    side: float, gap: float, longest: float
) -> None:
    """L ≤ min(q, [(q − (4s + g)/c)/t − 4·r_i]/3): two blades end for end in a square of side q, in inches.

    The search may find more than a row holds, never less.
    """
    a = math.pi / 20
    row = min(side, ((side - (4 * 0.25 + gap) / math.cos(a)) / math.tan(a) - 4 * 1.25) / 3)
    assert row == pytest.approx(longest, abs=1e-3)
    text = STASH.replace("width = 5\nlength = 5", f"width = {side}\nlength = {side}")
    answer = _fitted(text.replace("gap = 0", f"gap = {gap}"))
    (two,) = [step for step in answer.steps if (step.fabric, step.blades) == ("tide", 2)]
    assert two.blade_length_mm >= math.floor(row * 16 + 1e-9) / 16 * IN - 1e-6
    assert two.blade_length_mm <= side * IN + 1e-6


def test_steps_never_grow_with_the_number_of_blades() -> None:
    """And each is in whole sixteenths of an inch."""
    steps = [step.blade_length_mm for step in _fitted(STASH).steps if step.fabric == "tide"]
    assert steps == sorted(steps, reverse=True)
    assert len(steps) == 12
    assert all(abs(length / (IN / 16) - round(length / (IN / 16))) < 1e-9 for length in steps)


def test_the_longest_blade_is_made_and_the_next_is_not() -> None:
    """By `make`, which searches harder; on such small squares there is no more to find."""
    job = replace(_job(), plate=replace(_job().plate, count=3))
    largest = fit(job, processes=1).largest
    assert largest is not None
    assert largest.limited_by == "tide"
    assert largest.blade_length_mm == pytest.approx(5 * IN)
    assert largest.finished_diameter_mm == pytest.approx(2 * (1.25 + 5 - 0.25) * IN)
    fits = replace(job, plate=replace(job.plate, blade_length_mm=largest.blade_length_mm))
    assert make(fits, ALONE).files
    longer = replace(job, plate=replace(job.plate, blade_length_mm=largest.blade_length_mm + IN / 16))
    with pytest.raises(UnmetError):
        make(longer, ALONE)
    assert largest.needs_mm == pytest.approx(5.125 * IN)


def test_of_pieces_bought_as_needed_the_steps_are_the_same() -> None:
    """What one piece holds doesn't depend on how many there are."""
    bought = fit(_job(STASH.replace("pieces = 9", 'pieces = "as needed"')), processes=1)
    assert [step.blade_length_mm for step in bought.steps] == [
        step.blade_length_mm for step in _fitted(STASH).steps
    ]


def test_what_a_longer_blade_needs_is_told_as_it_is_bought() -> None:
    """Squares as bought so long that 5 in are left of them: the next blade takes as much more as is lost."""
    washed = STASH.replace("length = 5\n", 'length = 5.5\nshrink = { length = 5 }\nends = "0.2368421"\n')
    largest = fit(_job(washed.replace("sewn = 4", "sewn = 4\ncount = 3")), processes=1).largest
    assert largest is not None
    assert largest.blade_length_mm == pytest.approx(5 * IN)
    assert largest.needs_mm == pytest.approx(math.ceil(8 * (5.125 / 0.95 + 0.2368421)) / 8 * IN)


def test_a_metric_job_goes_by_millimetres() -> None:
    """Blades in whole millimetres."""
    text = STASH.replace('"4 3/4"', "12").replace('"1 1/4"', "3").replace('"1/4"', "0.6")
    text = text.replace("width = 5\nlength = 5", "width = 12.7\nlength = 12.7")
    text = text.replace("width = 4\nlength = 4", "width = 10.5\nlength = 10.5").replace("= 12\n", "= 30\n")
    answer = fit(_job('[job]\nunit = "cm"\n' + text.replace("blade_length = 30", "blade_length = 12")))
    assert answer.steps
    assert all(abs(step.blade_length_mm - round(step.blade_length_mm)) < 1e-9 for step in answer.steps)


@settings(max_examples=4, deadline=None)
@given(pieces=st.integers(1, 6), side=st.sampled_from([4.75, 5]), sewn=st.integers(2, 5))
def test_what_fit_says_fits_is_made_and_one_more_is_not(pieces: int, side: float, sewn: int) -> None:
    """So many plates come out of `make`, and with the blades over too; a plate more is refused."""
    text = STASH.replace("pieces = 3", "pieces = 40").replace("pieces = 9", f"pieces = {pieces}")
    text = text.replace("sewn = 4", f"sewn = {sewn}")
    text = text.replace("width = 5\nlength = 5", f"width = {side}\nlength = {side}")
    job = _job(text)
    whole = _whole(job)
    if whole.plates:
        made = make(replace(job, plate=replace(job.plate, count=whole.plates)), ALONE)
        of_tide = next(tally for tally in made.nested.tallies if tally.fabric == "tide").counts
        blades = dict(of_tide)["blade"]
        assert blades == whole.plates * sewn
    assert whole.plates * sewn + whole.blades_over == 2 * pieces
    with pytest.raises(UnmetError):
        make(replace(job, plate=replace(job.plate, count=whole.plates + 1)), ALONE)


@settings(max_examples=6, deadline=None)
@given(pieces=st.integers(1, 15), more=st.integers(1, 4))
def test_more_cloth_never_gives_fewer_plates(pieces: int, more: int) -> None:
    """Nor does it leave less over in all."""
    few = _whole(_job(STASH.replace("pieces = 9", f"pieces = {pieces}")))
    many = _whole(_job(STASH.replace("pieces = 9", f"pieces = {pieces + more}")))
    assert many.plates >= few.plates
    assert many.plates * 4 + many.blades_over >= few.plates * 4 + few.blades_over


@given(
    answer=st.integers(-5, 60), least=st.integers(1, 20), width=st.integers(0, 40), start=st.integers(0, 70)
)
def test_the_greatest_true_number_is_found_from_anywhere(
    answer: int, least: int, width: int, start: int
) -> None:
    """As counting up finds it."""
    most = least + width
    counted = max((number for number in range(least, most + 1) if number <= answer), default=None)
    assert most_true(lambda number: number <= answer, least, most, start=start) == counted


def test_a_shape_that_nobody_gives_is_told() -> None:
    """Before any search."""
    text = STASH[: STASH.index('[[fabric]]\nname = "lantern"')] + STASH[STASH.index("[mat]") :]
    with pytest.raises(JobError, match="no fabric is told to give centre"):
        fit(_job(text))


def test_cloth_that_is_bought_as_needed_leaves_nothing_over() -> None:
    """There is as much of it as one likes: the plates asked for, and no thousands of blades besides."""
    found = _whole(_job(STASH.replace("pieces = 9", 'pieces = "as needed"')))
    assert (found.plates, found.blades_over) == (3, 0)


def test_an_order_of_names_limits_whole_plates_by_each_fabric() -> None:
    """Three of tide and one of shingle a plate: 9 squares of tide do for 6 plates, 2 of shingle for 4."""
    text = STASH.replace("sewn = 4\n", 'sewn = 4\norder = ["tide", "tide", "tide", "shingle"]\n')
    shingle = '[[fabric]]\nname = "shingle"\nwidth = 5\nlength = 5\npieces = 2\ncuts = { blade = "rest" }\n'
    text = text.replace('[centre]\ncover = "1/4"\n', "").replace('cuts = { centre = "rest" }', "")
    text = text.replace("[mat]", shingle + "\n[mat]")
    whole = _whole(_job(text))
    assert (whole.plates, whole.blades_over) == (4, 18 + 4 - 16)


def test_what_fills_up_takes_the_pieces_that_numbers_leave() -> None:
    """A background takes one of two squares that are too large for the mat; centres fill the other.

    Cut up for centres alone neither square would have room for the background. So one plate comes of it.
    """
    text = STASH.replace("width = 4\nlength = 4\npieces = 3", "width = 14\nlength = 14\npieces = 2")
    text = text.replace('centre = "rest"', 'centre = "fill", background = "rest"')
    text = text.replace("[centre]", '[background]\ncut = "11 1/2"\n\n[centre]').replace(
        "sewn = 4", "sewn = 20"
    )
    text = text.replace('blade_length = "4 3/4"', 'blade_length = "4 1/2"').replace(
        "pieces = 9", "pieces = 10"
    )
    made = make(_job(text), ALONE)
    lantern = next(tally for tally in made.nested.tallies if tally.fabric == "lantern")
    assert dict(lantern.counts)["background"] == 1
    assert dict(lantern.counts)["centre"] >= 9
    assert _whole(_job(text)).plates == 1


def test_lengths_of_many_blades_are_looked_for_where_their_rings_say(monkeypatch: pytest.MonkeyPatch) -> None:
    """Thirteen blades on one piece: no step says how long they are, and few lengths are tried to find it."""
    text = STASH[: STASH.index("[centre]")].replace("sewn = 4", "sewn = 13") + STASH[STASH.index("[mat]") :]
    cloth = '[[fabric]]\nname = "tide"\nwidth = 9\nlength = 9\ncuts = { blade = "rest" }\n\n'
    job = _job(text.replace('"4 3/4"', "2").replace('"1 1/4"', "1") + cloth)
    asked: list[float] = []
    gives = Trial.gives

    def counted(trial: Trial, needs: Mapping[str, int]) -> bool:
        asked.append(trial.plate.blade.length_mm)
        return gives(trial, needs)

    monkeypatch.setattr(Trial, "gives", counted)
    largest = fit(job, processes=1).largest
    assert largest is not None
    own = job.plate.blade_length_mm
    assert own is not None
    assert largest.blade_length_mm > own * 1.4
    # Steps doubled and halved from its own length would try more.
    assert len({length for length in asked if length != own}) <= 6


def test_the_longest_blade_is_looked_for_where_the_rest_leaves_room(monkeypatch: pytest.MonkeyPatch) -> None:
    """One cloth gives all: blades much shorter than the answer, which take long to lay, aren't tried."""
    job = parse_job(
        "[plate]\nblades = 8\nblade_length = 4\ninner_radius = 1\n[centre]\n[background]\n"
        '[[fabric]]\nname = "tide"\nwidth = 14\nlength = 12\n[mat]\nwidth = 24\nheight = 24\n'
    )
    tried: list[int] = []
    gives = Lengths.give

    def give(lengths: Lengths, steps: int, needs: Mapping[str, int]) -> bool:
        tried.append(steps)
        return gives(lengths, steps, needs)

    monkeypatch.setattr(Lengths, "give", give)
    found = fit_job(job, effort=Effort(0, 0, rows_from=100), processes=1).largest
    assert found is not None
    answer = round(found.blade_length_mm / (IN / 16))
    assert answer < 64  # shorter than the job's own, which the background leaves no room for
    assert {answer, answer + 1} <= set(tried)
    assert min(tried) > answer * 3 / 4
    assert len(tried) <= 9


def test_lengths_for_a_drawn_scrap_are_those_for_its_corners(tmp_path: Path) -> None:
    """A job whose cloth is all drawn has its longest blade and its steps, too."""
    drawing = '<svg xmlns="http://www.w3.org/2000/svg" width="150mm" height="130mm" viewBox="0 0 150 130">'
    (tmp_path / "scrap.svg").write_text(f'{drawing}<path d="M0 0 L150 0 L150 130 L20 130 Z"/></svg>')
    corners = '[["0 mm", "130 mm"], ["20 mm", "0 mm"], ["150 mm", "0 mm"], ["150 mm", "130 mm"]]'
    found = []
    for outline in ('"scrap.svg"', corners):
        text = (
            "[plate]\nblades = 20\nsewn = 1\nblade_length = 3\ninner_radius = 1\n"
            f'[[fabric]]\nname = "tide"\noutline = {outline}\n[mat]\nwidth = 12\nheight = 12\n'
        )
        job = parse_job(text, folder=tmp_path)
        found.append(fit_job(job, effort=Effort(0, 0, rows_from=100), processes=1))
    drawn, cornered = found
    assert drawn.largest is not None
    assert drawn.largest == cornered.largest
    steps = [[(step.blades, step.blade_length_mm) for step in each.steps] for each in found]
    assert steps[0] == steps[1] != []
