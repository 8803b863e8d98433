"""A picture of cloth that came through the browser: made anew from its pixels, set to scale, with a motif."""

from __future__ import annotations

import contextlib
import io
import math
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from cutfiles.core.errors import CutfilesError, GeometryError, JobError
from cutfiles.core.units import MM_PER_INCH, Unit, fraction_in, length_mm
from cutfiles.geometry.outline import Point
from cutfiles.geometry.points import points_on
from cutfiles.job.model.job import FabricSpec, Job
from cutfiles.job.model.needs import BACKGROUND, CENTRE
from cutfiles.page.fields.step import as_written, unit_of
from cutfiles.pieces.plate_shapes import background_shape, blade_shapes_of, centre_shape_of
from cutfiles.plate.plate import Plate
from cutfiles.sheet.pictures.cloth_picture import FORMATS, MOST_PIXELS, ClothPicture

MOST_SIDE = 1600  # pixels of a picture as it is kept: enough for print at the size of a hand
_QUALITY = 85
_STRAY_MM = 0.2  # of a chord from its arc, where an outline is shown: finer than a line of the picture
# For what has no outline, as a binding: 2 in each way.
_SQUARE = tuple((x * MM_PER_INCH, y * MM_PER_INCH) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)))
_LEAST_APART = 0.02  # of the picture's width, between two marks: nearer ones measure nothing


def made_anew(content: bytes) -> bytes:
    """Return a picture as JPEG, upright and no larger than is of use; nothing else of what came is kept.

    Raises:
        JobError: it is no whole JPEG, PNG or WebP picture, or has too many pixels.
    """
    from PIL import Image, ImageOps  # noqa: PLC0415  # loaded only for a picture

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")  # of pictures too large to be true
            with Image.open(io.BytesIO(content), formats=FORMATS) as picture:
                across, down = picture.size
                if across * down > MOST_PIXELS:
                    raise JobError("", _too_many(f"{across} × {down}"))
                picture.draft("RGB", (MOST_SIDE, MOST_SIDE))  # a JPEG needs no more than this decoded
                upright = ImageOps.exif_transpose(picture).convert("RGBA")
        upright.thumbnail((MOST_SIDE, MOST_SIDE))
        flat = Image.new("RGB", upright.size, "white")
        flat.paste(upright, mask=upright.getchannel("A"))
        saved = io.BytesIO()
        flat.save(saved, "JPEG", quality=_QUALITY)
        return saved.getvalue()
    except JobError:
        raise
    except Exception as error:  # the library has no one error for a broken file
        if "decompression bomb" in str(error):
            raise JobError("", _too_many("far too many")) from None
        raise JobError(
            "", "the picture is no whole JPEG, PNG or WebP file; save it as one of these"
        ) from None


def _too_many(size: str) -> str:
    return (
        f"the picture has {size} pixels; at most {MOST_PIXELS / 1e6:.0f} million are allowed: save it smaller"
    )


@dataclass(frozen=True, slots=True)
class ScaleMarks:
    """Two places on a picture, in per cent of its width and height from its upper left corner."""

    first: tuple[float, float]
    second: tuple[float, float]

    @classmethod
    def read(cls, texts: Mapping[str, str]) -> ScaleMarks:
        """Return what stands in four fields, `x1` to `y2`.

        Raises:
            JobError: one of them holds no number from 0 to 100.
        """
        numbers = []
        for key in ("x1", "y1", "x2", "y2"):
            try:
                number = float(texts.get(key, "").replace(",", "."))
            except ValueError:
                number = math.nan
            if not 0 <= number <= 100:
                raise JobError("", "the marks are numbers from 0 to 100, in per cent of the picture")
            numbers.append(number)
        return cls((numbers[0], numbers[1]), (numbers[2], numbers[3]))

    def distance_share(self, up_per_across: float) -> float:
        """Return how far apart they are, as a share of the picture's width."""
        across, down = self.second[0] - self.first[0], self.second[1] - self.first[1]
        return math.hypot(across, down * up_per_across) / 100


def width_from_marks(
    marks: ScaleMarks, distance: str, picture: ClothPicture, tables: Mapping[str, Any]
) -> str:  # fmt: skip
    """Return how much cloth a picture shows crosswise, as it is written into the job.

    Args:
        marks: two places on it.
        distance: of the two on the cloth, as a person types it.
        picture: of which the shape counts, not the width.
        tables: of the job, which has the unit.

    Raises:
        JobError: the distance is no length above 0, or the marks are too near each other.
    """
    unit = unit_of(tables)
    try:
        mm = length_mm(distance, unit)
    except GeometryError:
        mm = 0.0
    if not mm > 0:
        raise JobError("", f'"{distance}" is not a distance; write one like 4, 3 1/2 or 12 cm')
    share = marks.distance_share(picture.height_mm / picture.width_mm)
    if share < _LEAST_APART:
        raise JobError("", "the marks lie on each other; put them as far apart as you can measure")
    width_mm = mm / share
    # Not on a mark of the rule: what was measured is better than that.
    return f"{width_mm:.1f} mm" if width_mm >= 10 else f"{width_mm:.2f} mm"


def in_first_repeat(fabric: FabricSpec, x_mm: float, y_mm: float, tables: Mapping[str, Any]) -> list[str]:
    """Return a place on the print as the job has it: the same motif, in the first repeat.

    Raises:
        JobError: the fabric has no repeat.
    """
    if fabric.repeat is None:
        raise JobError(f"{fabric.place}.motif", "needs a repeat; say how large one repeat of the print is")
    unit, repeat = unit_of(tables), fabric.repeat
    place = []
    for mm, step in ((x_mm, repeat.width_mm), (y_mm, repeat.length_mm)):
        if not math.isfinite(mm):
            raise JobError(f"{fabric.place}.motif", "is no place on the cloth")
        place.append(fraction_in(mm % step, parts=64) if unit is Unit.IN else as_written(mm % step, unit))
    return place


def outlines_of(job: Job, plate: Plate, fabric: FabricSpec) -> tuple[tuple[Point, ...], ...]:
    """Return the outlines of all that a fabric gives, as they are cut: mm about their origin, y up.

    They have one origin, so the same motif is on it in each.
    """
    given = dict(fabric.cuts)
    cuts = [shape.cut for shape in blade_shapes_of(plate) if shape.name in given or not given]
    if CENTRE in given and plate.centre:
        cuts.append(centre_shape_of(plate).cut)
    if BACKGROUND in given and plate.background:
        cuts.append(background_shape(plate).cut)
    own = [spec for spec in job.outlines if spec.name in given]
    if own:
        from cutfiles.pieces.own_outline import given_outline, outline_shape  # noqa: PLC0415  # loads half a second

        with contextlib.suppress(CutfilesError):  # a drawing that is none is told of when it is laid out
            cuts += [outline_shape(spec, given_outline(spec, job.unit)).cut for spec in own]
    return tuple(tuple(points_on(cut, stray_mm=_STRAY_MM)) for cut in cuts) or (_SQUARE,)
