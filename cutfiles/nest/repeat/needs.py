"""How many repeats of a print a plate and a job need, and how much cloth that is: rows, no search."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from cutfiles.core.units import rounded_up_mm
from cutfiles.job.model.blade_shapes import BLADE, SECOND_BLADE
from cutfiles.job.model.job import FabricSpec, Face, Job, RepeatSpec, Share
from cutfiles.job.model.needs import BACKGROUND, CENTRE, cuts_asked, needs
from cutfiles.nest.cutting_rules.reach import reach_of
from cutfiles.nest.cutting_rules.repeat import strides
from cutfiles.nest.cutting_rules.turns import allowed_turns, tried
from cutfiles.nest.repeat.rows import Body, Line, Pattern, patterns
from cutfiles.plate.plate import Plate
from cutfiles.plate.sizes import Json


@dataclass(frozen=True, slots=True)
class Amount:
    """So many pieces in rows: the repeats that they spread over, and the length of fabric that they need."""

    pieces: int
    across: int  # repeats
    along: int
    length_mm: float  # of the fabric as the job has it, its motif where it is
    buy_mm: float  # of the same width, wherever in a repeat it is cut off; rounded up as it is sold


@dataclass(frozen=True, slots=True)
class Block:
    """How neighbours lie: so many pieces take up so many repeats."""

    pieces: int
    across: int
    along: int


@dataclass(frozen=True, slots=True)
class RepeatNeed:
    """What a shape needs of a fabric with a repeat; no amounts where none fits its width, or it has flaws."""

    fabric: str
    shape: str
    repeat: RepeatSpec
    block: Block
    plate: Amount | None  # for one plate
    job: Amount | None  # for all that the job asks of the fabric; None for "fill"

    def json(self) -> Json:
        """Return it as `size --json` gives it."""
        block = self.block
        return {
            "fabric": self.fabric,
            "shape": self.shape,
            "width_mm": self.repeat.width_mm,
            "length_mm": self.repeat.length_mm,
            "block": {"pieces": block.pieces, "across": block.across, "along": block.along},
            "plate": _json(self.plate),
            "job": _json(self.job),
        }


def _json(amount: Amount | None) -> Json | None:
    if amount is None:
        return None
    return {
        "pieces": amount.pieces,
        "repeats": amount.across * amount.along,
        "across": amount.across,
        "along": amount.along,
        "length_mm": amount.length_mm,
        "buy_mm": amount.buy_mm,
    }


def repeat_needs(job: Job, plate: Plate) -> tuple[RepeatNeed, ...]:
    """Return what the plate's shapes need of every fabric that has a repeat and gives them.

    Raises:
        JobError: nothing of the mat can be used.
    """
    bodies = dict(_bodies(plate))
    asked = zip(job.fabrics, cuts_asked(job), strict=True)
    job = replace(job, fabrics=tuple(replace(fabric, cuts=cuts) for fabric, cuts in asked))
    return tuple(
        _need(job, fabric, fabric.repeat, shape, body)
        for fabric in job.fabrics
        if fabric.repeat
        for shape, body in bodies.items()
        if shape in dict(fabric.cuts)
    )


def _bodies(plate: Plate) -> Iterator[tuple[str, Body]]:
    blade = plate.blade
    for band in plate.bands:
        yield band.name, Body(blade.cut_half_width_mm(band.cut_high_mm), band.cut_low_mm, band.cut_high_mm)
    yield BLADE, Body(blade.wide_width_mm / 2, blade.inner_radius_mm, blade.outer_radius_mm, blade)
    if plate.second:
        blade = plate.second
        yield SECOND_BLADE, Body(blade.wide_width_mm / 2, blade.inner_radius_mm, blade.outer_radius_mm, blade)
    if plate.is_in_seam:
        return  # rows are reckoned from a piece's middle, and these have their origin at a corner or an edge
    if plate.centre:
        radius = plate.centre.cut_radius_mm
        yield CENTRE, Body(radius, -radius, radius)
    if plate.background:
        half = plate.background.cut_width_mm / 2
        yield BACKGROUND, Body(half, -half, half)


def _need(job: Job, fabric: FabricSpec, repeat: RepeatSpec, shape: str, body: Body) -> RepeatNeed:
    fabric = fabric.lying_for(shape)
    wanted = dict(needs(job))[shape]
    told = dict(fabric.cuts)[shape]
    if told is Share.REST:
        fixed = [count for other in job.fabrics for name, count in other.cuts if name == shape]
        asked = max(0, wanted - sum(count for count in fixed if isinstance(count, int)))
    else:
        asked = told if isinstance(told, int) else 0
    spreads = list(_spreads(job, fabric, repeat, body))
    each = wanted // job.plate.count
    rows = spreads if fabric.is_rectangle else []
    for_plate = _least(rows, fabric, repeat, each, job)
    for_job = _least(rows, fabric, repeat, asked, job) if asked else None
    # Without a number the densest rows are what there is to tell.
    chosen = for_plate[0] if for_plate else min(spreads, key=_RowSpread.share)
    return RepeatNeed(
        fabric.name,
        shape,
        repeat,
        chosen.block(),
        for_plate and for_plate[1],
        for_job and for_job[1],
    )


@dataclass(frozen=True, slots=True)
class _RowSpread:
    """Rows that run across the fabric or, pieces lying crosswise, along it."""

    pattern: Pattern
    across: Line
    along: Line

    def block(self) -> Block:
        beside, ahead = self.pattern.period, self.pattern.next_row
        pieces = len(self.pattern.places)
        return Block(pieces, beside, ahead) if self.along.rows else Block(pieces, ahead, beside)

    def share(self) -> float:
        """Repeats to a piece."""
        return self.pattern.period * self.pattern.next_row / len(self.pattern.places)


def _spreads(job: Job, fabric: FabricSpec, repeat: RepeatSpec, body: Body) -> Iterator[_RowSpread]:
    reach = reach_of(job.mat, job.machine.register, unit=job.unit)
    sizes = {(rect.width_mm, rect.height_mm) for rect in reach.free}
    sizes |= {(height, width) for width, height in sizes}
    spreads = [spread for size in sorted(sizes) for spread in _rough(job, fabric, repeat, body, size)]
    # Too big for the mat they are cut by hand, all one way round, in rows that nothing interrupts.
    yield from spreads or _rough(job, fabric, repeat, body, None)


def _rough(
    job: Job, fabric: FabricSpec, repeat: RepeatSpec, body: Body, reach: tuple[float, float] | None
) -> Iterator[_RowSpread]:
    """Rows on rough cuts of a size at most, or by hand."""
    turns = tried(allowed_turns(fabric.print_, fabric.grain, fabric.face))
    if reach is None:
        turns = turns[:1]
    if fabric.face is Face.WRONG_SIDE_UP:
        turns = tuple(-turn % 360.0 for turn in turns)
    # Turned by 90 degrees a piece points to the left, against the way that widths count.
    lengthwise = tuple(way for turn, way in ((0.0, 1), (180.0, -1)) if turn in turns)
    crosswise = tuple(way for turn, way in ((270.0, 1), (90.0, -1)) if turn in turns)
    for ways, lie_across in ((lengthwise, False), (crosswise, True)):
        beside, ahead = repeat.width_mm, repeat.length_mm
        if lie_across:
            beside, ahead = ahead, beside
        for pattern in patterns(body, ways=ways, beside_mm=beside, ahead_mm=ahead, gap_mm=job.machine.gap_mm):
            across, along = (
                [
                    line
                    for stride in (strides(step, most) if reach else (math.inf,))
                    if (line := Line(pattern, rows, step, fabric.margin_mm, most, stride)).is_possible
                ]
                for rows, step, most in zip(
                    (lie_across, not lie_across),
                    (repeat.width_mm, repeat.length_mm),
                    reach or (math.inf, math.inf),
                    strict=True,
                )
            )
            yield from (
                _RowSpread(pattern, across_line, along_line) for across_line in across for along_line in along
            )


def _least(
    spreads: list[_RowSpread], fabric: FabricSpec, repeat: RepeatSpec, pieces: int, job: Job
) -> tuple[_RowSpread, Amount] | None:
    """The rows that need the least length; None if none has room."""
    amounts: list[tuple[float, int, int, Amount]] = []
    for index, spread in enumerate(spreads):
        across = min(pieces, spread.across.count(fabric.width_mm, repeat.motif[0]))
        if not across:
            continue
        along = math.ceil(pieces / across)
        used = spread.along.used_mm(along)
        anywhere = used + 2 * fabric.margin_mm + repeat.length_mm
        amount = Amount(
            pieces,
            math.ceil(round(spread.across.used_mm(across) / repeat.width_mm, 9)),
            math.ceil(round(used / repeat.length_mm, 9)),
            spread.along.end_mm(along, repeat.motif[1]),
            rounded_up_mm(anywhere, job.unit.sold_by_mm),
        )
        amounts.append((round(amount.length_mm, 6), amount.across * amount.along, index, amount))
    if not amounts:
        return None
    _, _, index, amount = min(amounts, key=lambda candidate: candidate[:3])
    return spreads[index], amount
