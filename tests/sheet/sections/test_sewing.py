"""The sewing steps, followed to the letter for every number of blades: they end in one plate."""

from __future__ import annotations

import math
import re
from collections import Counter
from dataclasses import replace

import pytest

from cutfiles import parse_job
from cutfiles.core.units import Unit
from cutfiles.job.model.job import Setting
from cutfiles.plate.blade import Blade
from cutfiles.plate.joining import joining
from cutfiles.plate.measure import plate_of as plate_of_job
from cutfiles.plate.plate import Background, Centre, Plate
from cutfiles.sheet.sections.sewing import sewing_section
from cutfiles.tips.registry import Tip
from tests.sheet.jobs import HARBOUR

IN = 25.4
KINDS = {"single blade": 1, "single blades": 1, "pair": 2, "pairs": 2, "four": 4, "fours": 4}
PLATES = [(n, n) for n in range(3, 61)] + [(20, m) for m in range(1, 20)] + [(15, 11), (60, 31), (7, 6)]


def plate_of(blades: int, sewn: int, tip: Tip = Tip.FLAT) -> Plate:
    blade = Blade(blades, 1.25 * IN, 12 * IN, 0.25 * IN, tip)
    hole = blade.opening_radius_mm
    return Plate(1, blade, sewn, Centre(hole + 6, hole + 12), Background.square(900.0, 880.0))


def steps_of(plate: Plate) -> list[str]:
    section = sewing_section(replace(HARBOUR, unit=Unit.IN), plate, guided=True)
    return ["".join(item.itertext()) for item in section.iter("li")]


@pytest.mark.parametrize(
    ("tip", "says"),
    [
        (Tip.FOLDED, "close to the edge, turning at every valley and tip."),
        (Tip.ROUND, "close to the edge, turning at every valley."),
        (Tip.FLAT, "close to the edge."),
    ],
)
def test_a_machine_turns_where_the_edge_has_a_corner(tip: Tip, says: str) -> None:
    """A folded point and a valley are corners; an arc is none, and a straight end meets the next."""
    (step,) = (
        step for step in steps_of(plate_of(20, 20, tip)) if step.startswith("Sew the edge of the plate")
    )
    assert step.endswith(says)


@pytest.mark.parametrize(
    ("keys", "says"),
    [
        (
            "[centre]\ncover = 0.25\n[background]",
            "To sew in a plate: 75 in between the blades and 23 in across the tips by machine; "
            "54 in round the plate and its centre by hand, about 216 stitches.",
        ),
        ("", "To sew in a plate: 75 in between the blades and 23 in across the tips by machine."),
        (
            "[centre]\ncover = 0.25",
            "23 in across the tips by machine; 10 in round the centre by hand, about 38 stitches.",
        ),
    ],
)
def test_what_there_is_to_sew_is_told_in_whole_inches(keys: str, says: str) -> None:
    """By hand only what the job has: the plate's edge on a background, a centre."""
    job = parse_job(f'[plate]\nblade_length = "4 3/4"\ninner_radius = "1 1/4"\n{keys}\n')
    intro = sewing_section(job, plate_of_job(job), guided=True).find("p")
    assert intro is not None
    assert says in "".join(intro.itertext())


def follow(steps: list[str], blades: int) -> tuple[Counter[int], int]:
    """Sew what the words say, and return what lies on the table in the end, and how many seams it took."""
    table, seams = Counter({1: blades}), 0

    def take(size: int, count: int) -> None:
        assert table[size] >= count, f"{count} of {size} are not there: {dict(table)}"
        table[size] -= count

    for step in steps:
        if step.startswith("Join two, right"):
            first = True
        elif match := re.match(r"Join the blades in pairs: (\d+) pairs? in all", step):
            pairs = int(match[1])
            take(1, 2 * pairs)
            table[2] += pairs
            seams += pairs
            left = re.search(r"; (\d+) blades? (is|are) left over", step)
            assert table[1] == (int(left[1]) if left else 0)
        elif match := re.match(r"Join the pairs in fours: (\d+) fours? in all", step):
            fours = int(match[1])
            take(2, 2 * fours)
            table[4] += fours
            seams += fours
            left = re.search(r"; (\d+) pairs? (is|are) left over", step)
            assert table[2] == (int(left[1]) if left else 0)
        elif match := re.match(r"Join (.*) to (?:a half|a part|the whole fan) of (\d+) blades\.", step):
            of = [
                (KINDS[kind], int(number))
                for number, kind in re.findall(r"(\d+) ([a-z ]+?)(?:,| and|$)", match[1])
            ]
            again = re.search(r"Make (\d+) of these", step)
            for _ in range(int(again[1]) if again else 1):
                for size, number in of:
                    take(size, number)
                seams += sum(number for _, number in of) - 1
                table[int(match[2])] += 1
                assert sum(size * number for size, number in of) == int(match[2])
        elif re.match(r"Join the (halves|two parts) with the last two seams", step):
            two = sorted(table.elements())
            assert len(two) == 2, "two parts, and nothing else, before the ring is closed"
            assert (two[0] == two[1]) is ("halves" in step)
            table, seams = Counter({sum(two): 1}), seams + 2
    if blades >= 2 and not any(step.startswith("Join the blades in pairs") for step in steps):
        assert first
        take(1, 2)
        table[2] += 1
        seams += 1
    return +table, seams


@pytest.mark.parametrize(("blades", "sewn"), PLATES)
def test_the_steps_end_in_one_plate(blades: int, sewn: int) -> None:
    """From single blades to one ring of n seams, or one fan of a seam fewer than blades."""
    plate = plate_of(blades, sewn)
    left, seams = follow(steps_of(plate), sewn)
    assert left == {sewn: 1}
    assert seams == (sewn if sewn == blades else sewn - 1)


@pytest.mark.parametrize(("blades", "sewn"), PLATES)
def test_what_is_laid_down_has_the_angle_that_is_told(blades: int, sewn: int) -> None:
    """Every part of three blades or more, and halves of two; a straight line just where it is one."""
    plate = plate_of(blades, sewn)
    told = [step for step in steps_of(plate) if step.startswith("Lay ") and " blades down: " in step]
    parts = {part.blades for part in joining(plate).parts if part.blades > 1} if sewn > 2 else set()
    assert {int(re.search(r"of (\d+) blades down", step)[1]) for step in told} == parts  # type: ignore[index]
    for step in told:
        angle = int(re.search(r"of (\d+) blades", step)[1]) * 360 / blades  # type: ignore[index]
        if math.isclose(angle, 180):
            assert "one straight line" in step
        else:
            said = re.search(r"must be ([\d.]+)°", step)
            assert said
            assert float(said[1]) == pytest.approx(angle, abs=0.25)
            assert float(said[1]) % 0.5 == 0  # no protractor shows it finer


@pytest.mark.parametrize("tip", Tip)
@pytest.mark.parametrize(("blades", "sewn"), [(20, 20), (15, 15), (16, 16), (20, 5)])
def test_nothing_comes_too_early_or_twice(tip: Tip, blades: int, sewn: int) -> None:
    """Pressed before measured, template out before the knot, edges turned before pinning."""
    steps = steps_of(plate_of(blades, sewn, tip))
    text = "\n".join(steps)

    def at(words: str) -> int:
        assert text.count(words) == 1, f"{words!r} stands {text.count(words)} times"
        return text.index(words)

    order = ["Press the blades flat", "Join two, right sides together", "Press the seam of this first pair"]
    order += ["measure it", "Join the blades in pairs", "Press all seams the same way round"]
    order += [
        "Run a gathering stitch around the cut circle",
        "let it cool.\n",
        "draw the thread up again",
        "knot it",
    ]
    if sewn < blades:
        order.append("Turn the fan's two outer edges under")
    order += [
        "creases cross in its middle",
        "on the background's right side",
        "Sew the edge of the",
        "Lay the centre over",
    ]
    order.append("Count pins and needles")
    places = [at(words) for words in order]
    assert places == sorted(places)
    assert ("last two seams" in text) is (sewn == blades)
    assert ("hal" in text.split("Run a gathering stitch around")[0].replace("halfway", "")) is (
        sewn == blades and blades % 2 == 0
    )


@pytest.mark.parametrize("blades", range(3, 61))
def test_creases_carry_what_is_told(blades: int) -> None:
    """A seam at 0°, and the others a blade's angle apart: what lies at 90°, 180° and 270°?"""
    seams = {round(number * 360 / blades, 6) for number in range(blades)}
    tips = {round((number + 0.5) * 360 / blades, 6) for number in range(blades)}
    on = ["seam" if angle in seams else "tip" if angle in tips else "" for angle in (0.0, 90.0, 180.0, 270.0)]
    says = next(step for step in steps_of(plate_of(blades, blades)) if "background's right side" in step)
    if on == ["seam"] * 4:
        assert "seams lie on all four creases" in says
        assert f"turn it by {f'{180 / blades:.2f}'.rstrip('0').rstrip('.')}°, and tips do" in says
    elif on == ["seam", "tip", "seam", "tip"]:
        assert "seams lie on both ends of one crease; on the other crease then lie tips" in says
    else:
        assert on == ["seam", "", "tip", ""]
        assert "a seam lie on one end of a crease; a tip then lies on the other end" in says


@pytest.mark.parametrize("setting", Setting)
def test_a_block_is_trimmed_last_when_no_pin_is_left_in_it(setting: Setting) -> None:
    """Pins counted and the block pressed, then the ruler."""
    sewn = {Setting.CENTRE: 20, Setting.CORNER: 5, Setting.EDGE: 10}[setting]
    assert HARBOUR.background is not None
    job = replace(
        HARBOUR,
        plate=replace(HARBOUR.plate, sewn=sewn, setting=setting),
        background=replace(HARBOUR.background, trim_mm=IN),
    )
    *_, counted, trimmed = steps_of(plate_of_job(job))
    assert counted.startswith("Count pins and needles")
    assert trimmed.startswith("Trim the ")
    assert not any(step.startswith("Trim the ") for step in steps_of(plate_of(20, 20)))
