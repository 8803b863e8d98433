"""An HP-GL interpreter that keeps the lines drawn: pen 1 draws, pen 2 cuts, 40 units to the mm.

Source: Hewlett-Packard, PCL 5 Printer Language Technical Reference Manual, part II (HP-GL/2): IN, DF, SP,
PU, PD, PA, PR, AA, AR, CI, SC, RO; a plotter unit is 0.025 mm; angles are degrees, counter-clockwise.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, field

import numpy as np

from cutfiles.core.errors import UnreadableError
from cutfiles.core.tolerance import HPGL_MM, HPGL_STEP_MM
from cutfiles.findings.codes import Code
from cutfiles.findings.limits import MOST_ITEMS, MOST_PARTS, check_corners, check_count, check_faults
from cutfiles.findings.report import Fault
from cutfiles.formats.model.decimals import Signs, decimals
from cutfiles.formats.model.drawing import Capabilities, Drawing, Item, Layer, Marks, Reading, chain, circle
from cutfiles.formats.model.strokes import Floats, Ints, StrokeCollector, measurable
from cutfiles.geometry.outline import Contour, bulge_of

_CAPABILITIES = Capabilities(
    within_mm=HPGL_MM, pair_mm=2 * HPGL_MM, has_size=False, marks=Marks.DRAWN, has_arcs=False
)
_PENS = {1: Layer.DRAW, 2: Layer.CUT}
# Settings that change no line: speed, force, acceleration, page, size of the page, width of the pen.
_SILENT = {"VS", "FS", "AS", "PG", "PS", "IP", "NP", "PC", "PW", "WU", "DT", "EC", "OE"}
_SILENT_IF_BARE = {"SC", "RO", "LT", "IW", "SM"}
_NOT_AS_DRAWN = {
    "LT": (Code.DASHED, "makes dashes of what follows"),
    "IW": (Code.CLIPPED, "draws only what lies in a window"),
}
_OUT_OF_16_BITS = 32767
_FEW_SIGNS = 600  # of strokes that are read one by one: arrays have a cost of their own
_BEHIND = b"; \t\r\n\v\f"  # what stands behind the last number of a stroke
_IS_NUMBER = np.zeros(256, dtype=bool)
_IS_NUMBER[list(b"-0123456789")] = True
_SAME_UNITS = 2.0  # centre and ends of an arc are whole units, each off by up to 0.7


@dataclass(slots=True)
class Plotter:
    """The pen and what it has drawn; lengths in plotter units."""

    pen: int | None = None
    down: bool = False
    relative: bool = False
    at: tuple[float, float] = (0.0, 0.0)
    count: int = 0  # of commands
    known: int = 0
    whole: bool = True
    far: bool = False
    items: list[Item] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    unknown: Counter[str] = field(default_factory=Counter)
    collector: StrokeCollector = field(default_factory=StrokeCollector)
    _run: list[float] = field(default_factory=list)  # x, y, x, y … while the pen is down
    _bulges: dict[int, float] = field(default_factory=dict)  # by corner of the run
    _began: int = 0

    def run(self, name: str, text: bytes, *, ended: bool) -> None:
        """Execute one command.

        Args:
            name: its two letters, in capitals.
            text: what it is given.
            ended: whether anything follows it.
        """
        self.count += 1
        check_count(self.count, MOST_PARTS, "commands")
        act = _ACTS.get(name)
        if act is None:
            bare = not text.strip(b", \t\r\n")
            zero = text.strip(b", \t\r\n") == b"0"
            if name in _SILENT or (name in _SILENT_IF_BARE and (bare or (zero and name == "RO"))):
                self.known += 1
            elif name in ("SC", "RO"):
                self.say(
                    Fault(Code.TRANSFORM, f"command {self.count}", f"{name} scales or turns what follows")
                )
            elif name in _NOT_AS_DRAWN:
                code, says = _NOT_AS_DRAWN[name]
                self.say(Fault(code, f"command {self.count}", f"{name} {says}"))
            else:
                self.unknown[name] += 1
            return
        self.known += 1
        try:
            numbers = list(map(float, text.replace(b",", b" ").split()))
            if not all(map(math.isfinite, numbers)):
                raise ValueError
            act(self, numbers)
        except ValueError:
            shown = text.decode("ascii", errors="replace").strip()[:40]
            self.say(Fault(Code.NOT_A_NUMBER, f"command {self.count}", f"{name} is given {shown!r}"))
        if not ended and text.strip():
            self.whole = False

    def say(self, fault: Fault) -> None:
        """Note a fault."""
        self.faults.append(fault)
        check_faults(len(self.faults))

    def reset(self, _numbers: list[float]) -> None:
        """IN, DF: absolute coordinates, pen up."""
        self.lift([])
        self.relative = False

    def select(self, numbers: list[float]) -> None:
        """SP: take a pen, or with none put it away."""
        self.lift([])
        self.pen = int(numbers[0]) if numbers else 0

    def lift(self, numbers: list[float]) -> None:
        """PU: pen up, then move."""
        self._finish()
        self.down = False
        self.move(numbers)

    def may_add_strokes(self) -> bool:
        """Return whether straight strokes may be read whole, by `add_strokes`."""
        return self.pen == 1 and not self.relative

    def add_strokes(self, text: bytes) -> None:
        """Take straight strokes in a row, each of one PU and one PD with whole numbers for points."""
        self._finish()
        self.down = False
        self._may_grow(text.count(b",") // 2)  # before arrays are made: one stroke may fill the file
        if len(text) < _FEW_SIGNS:
            for stroke in text.split(b"PU")[1:]:
                corners = list(map(float, stroke.replace(b";PD", b",").strip(_BEHIND).split(b",")))
                self.count += 2
                self.collector.add(corners, self.count)
                self.at = (corners[-2], corners[-1])
        else:
            points, counts = _corners_of(text)
            order = self.count + 2 * np.arange(1, len(counts) + 1)
            self.collector.add_all(points, counts, order)
            self.count = int(order[-1])
            self.at = (float(points[-1, 0]), float(points[-1, 1]))

    def lower(self, numbers: list[float]) -> None:
        """PD: pen down, then move."""
        if not self.down:
            self.down = True
            self._began = self.count
            self._run = [*self.at]
        self.move(numbers)

    def absolute(self, numbers: list[float]) -> None:
        """PA."""
        self.relative = False
        self.move(numbers)

    def stepwise(self, numbers: list[float]) -> None:
        """PR."""
        self.relative = True
        self.move(numbers)

    def move(self, numbers: list[float]) -> None:
        """Go along points, drawing if the pen is down."""
        if len(numbers) % 2:
            raise ValueError
        if not numbers:
            return
        if self.relative:
            (x, y), steps = self.at, numbers
            numbers = []
            for across, up in zip(steps[::2], steps[1::2], strict=True):
                x, y = x + across, y + up
                numbers += (x, y)
        self.at = (numbers[-2], numbers[-1])
        if self.down:
            self._run += numbers
            self._grow(len(numbers) // 2)
        if max(numbers) > _OUT_OF_16_BITS or min(numbers) < -_OUT_OF_16_BITS - 1:
            self.far = True

    def arc_about(self, numbers: list[float]) -> None:
        """AA: an arc about a point."""
        if len(numbers) not in (3, 4):
            raise ValueError
        self._arc((numbers[0], numbers[1]), numbers[2])

    def arc_beside(self, numbers: list[float]) -> None:
        """AR: an arc about a point given from here."""
        if len(numbers) not in (3, 4):
            raise ValueError
        self._arc((self.at[0] + numbers[0], self.at[1] + numbers[1]), numbers[2])

    def round(self, numbers: list[float]) -> None:
        """CI: a circle about where the pen is, which then stays there."""
        if len(numbers) not in (1, 2):
            raise ValueError
        was_down = self.down
        self._finish()
        self._began = self.count
        x, y = self.at
        self._keep(circle(x * HPGL_STEP_MM, y * HPGL_STEP_MM, abs(numbers[0]) * HPGL_STEP_MM))
        if was_down:
            self._run = [*self.at]

    def _arc(self, centre: tuple[float, float], sweep_deg: float) -> None:
        across, up = self.at[0] - centre[0], self.at[1] - centre[1]
        steps = max(1, math.ceil(min(abs(sweep_deg), 360.0) / 180.0 - 1e-9))
        step = math.radians(math.copysign(min(abs(sweep_deg), 360.0), sweep_deg)) / steps
        for number in range(1, steps + 1):
            if self.down:
                self._bulges[len(self._run) // 2 - 1] = bulge_of(step)
            cos, sin = math.cos(step * number), math.sin(step * number)
            absolute, self.relative = self.relative, False
            self.move([centre[0] + across * cos - up * sin, centre[1] + across * sin + up * cos])
            self.relative = absolute

    def _grow(self, corners: int) -> None:
        self._may_grow(corners)
        self.collector.corners += corners

    def _may_grow(self, corners: int) -> None:
        check_corners(self.collector.corners + corners)

    def _finish(self) -> None:
        """The pen goes up: what it drew is a line."""
        run, bulges = _settled(self._run, self._bulges) if self._bulges else (self._run, {})
        self._run, self._bulges = [], {}
        if not self.down or not run or self.pen == 0:
            return
        if self.pen == 1 and not bulges and len(run) > 2:
            self.collector.add(run, self._began)
            return
        self._keep(
            chain(
                (
                    (run[index] * HPGL_STEP_MM, run[index + 1] * HPGL_STEP_MM, bulges.get(index // 2, 0.0))
                    for index in range(0, len(run), 2)
                ),
                closed=False,
            )
        )

    def _keep(self, path: Contour | Fault) -> None:
        place = f"command {self._began}"
        if isinstance(path, Fault):
            self.say(Fault(path.code, place, path.says))
        else:
            name = "no pen" if self.pen is None else f"pen {self.pen}"
            layer = _PENS.get(self.pen or 0)
            self.items.append(Item(layer, layer.value if layer else name, path, None, place, self._began))
            check_count(len(self.items), MOST_ITEMS, "outlines and curves")

    def result(self) -> Reading:
        """Return all that was drawn.

        Raises:
            UnreadableError: there was no command that draws or sets anything.
        """
        if not self.known:
            raise UnreadableError("is no HP-GL: it holds no command that is known")
        notes = []
        if not self.whole or self.down:
            self.say(
                Fault(Code.UNREADABLE, "", "ends with the tool down or inside a command: it is cut short")
            )
        elif self.pen:
            notes.append("no pen is put away at its end, so whether it is whole can't be known")
        self._finish()
        for name, count in sorted(self.unknown.items()):
            words = "a label" if name == "LB" else f"the command {name[:2]}, {count} times"
            self.say(Fault(Code.UNKNOWN_ELEMENT, "", f"holds {words}, which was not measured"))
        drawn, faults = measurable(
            self.collector.strokes(lambda count: f"command {count}", scale=HPGL_STEP_MM)
        )
        if self.far or (len(drawn) and np.abs(drawn.points).max() > _OUT_OF_16_BITS * HPGL_STEP_MM):
            notes.append("it reaches beyond 819 mm, which readers of 16-bit numbers can't follow")
        whole = Drawing(None, None, tuple(self.items), _CAPABILITIES, drawn)
        return Reading(whole, (*self.faults, *faults), tuple(notes))


def _corners_of(text: bytes) -> tuple[Floats, Ints]:
    """The corners of strokes in a row, and how many each has."""
    signs: Signs = np.frombuffer(text, dtype=np.uint8)
    inside = np.concatenate([[False], _IS_NUMBER[signs], [False]])
    begins, ends = np.flatnonzero(inside[1:] > inside[:-1]), np.flatnonzero(inside[1:] < inside[:-1])
    first = np.searchsorted(begins, np.flatnonzero(signs == ord("U")))
    counts = np.diff(np.append(first, len(begins))) // 2
    return decimals(text, signs, begins, ends).reshape(-1, 2), counts


def _settled(run: list[float], bulges: dict[int, float]) -> tuple[list[float], dict[int, float]]:
    """Leave out where an arc ends by its angle, if the next point says the same in whole units."""
    corners: list[tuple[float, float, float]] = []
    for index in range(0, len(run), 2):
        x, y, bulge = run[index], run[index + 1], bulges.get(index // 2, 0.0)
        after_arc = len(corners) > 1 and not corners[-1][2] and corners[-2][2]
        if after_arc and math.dist(corners[-1][:2], (x, y)) <= _SAME_UNITS:
            corners.pop()
        corners.append((x, y, bulge))
    kept = {index: corner[2] for index, corner in enumerate(corners) if corner[2]}
    return [number for corner in corners for number in corner[:2]], kept


_ACTS = {
    "IN": Plotter.reset,
    "DF": Plotter.reset,
    "SP": Plotter.select,
    "PU": Plotter.lift,
    "PD": Plotter.lower,
    "PA": Plotter.absolute,
    "PR": Plotter.stepwise,
    "AA": Plotter.arc_about,
    "AR": Plotter.arc_beside,
    "CI": Plotter.round,
}
