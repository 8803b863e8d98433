"""A picture file that shows a fabric: read, checked, and how much cloth it shows. mm."""

from __future__ import annotations

import base64
import warnings
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from cutfiles.core.errors import JobError
from cutfiles.core.units import shown
from cutfiles.job.model.job import LEAST_PICTURE_MM, Job

MOST_BYTES = 8_000_000  # it goes into the sheet as it is: a sheet of that size still opens and prints
MOST_PIXELS = 50_000_000
FORMATS = ("PNG", "JPEG", "WEBP")
_ORIENTATION, _ON_ITS_SIDE = 0x0112, (5, 6, 7, 8)  # Exif 2.32: the camera was turned by a quarter


@dataclass(frozen=True, slots=True)
class ClothPicture:
    """What a fabric looks like from its right side; it comes again and again over the cloth."""

    media: str  # such as `image/png`
    content: bytes
    width_mm: float  # of cloth that it shows, crosswise
    height_mm: float  # along the lengthwise grain
    address: str = ""  # where a page that is served finds it

    @property
    def uri(self) -> str:
        """Its address; without one the whole picture as such, so that a page needs no other file."""
        return self.address or f"data:{self.media};base64,{base64.b64encode(self.content).decode()}"


def cloth_pictures(job: Job) -> dict[str, ClothPicture]:
    """Return the picture of each fabric that has one, by the fabric's name.

    Raises:
        JobError: a file that can't be read or is no picture, is too large, or shows too little cloth.
    """
    known: dict[tuple[Path, float], ClothPicture] = {}
    found = {}
    for fabric in job.fabrics:
        if fabric.picture is None:
            continue
        key = (fabric.picture, fabric.picture_width_mm)
        if key not in known:
            known[key] = _read(fabric.picture, fabric.picture_width_mm, f"{fabric.place}.picture")
        picture = found[fabric.name] = known[key]
        if picture.height_mm < LEAST_PICTURE_MM:
            raise JobError(
                f"{fabric.place}.picture",
                f"shows {shown(picture.width_mm, job.unit)} × {picture.height_mm:.2g} mm of cloth, which is "
                f"too little; at least {LEAST_PICTURE_MM:g} mm each way is allowed: cut the picture to "
                "another shape, or raise picture_width",
            )
    return found


def _read(path: Path, width_mm: float, where: str) -> ClothPicture:
    name = f'"{path.name}"' if path.name.isprintable() else repr(path.name)
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise JobError(
                where,
                f"{name} has {size / 1e6:.0f} MB; at most {MOST_BYTES / 1e6:.0f} MB are allowed: "
                "save it smaller",
            )
        content = path.read_bytes()
    except OSError as error:
        raise JobError(
            where, f"{name} can't be read ({error.strerror}); give the path of a PNG, JPEG or WebP file"
        ) from None
    media, across, up = _measured(content, name, where)
    return ClothPicture(media, content, width_mm, width_mm * up / across)


def _measured(content: bytes, name: str, where: str) -> tuple[str, int, int]:
    """What kind of picture it is, and its pixels each way as it is seen."""
    import io  # noqa: PLC0415

    from PIL import Image  # noqa: PLC0415  # only jobs with pictures need it

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")  # of pictures too large to be true
            with Image.open(io.BytesIO(content), formats=FORMATS) as picture:
                across, up = picture.size
                if across * up > MOST_PIXELS:
                    raise JobError(where, _too_many(name, (across, up)))
                media = Image.MIME[picture.format or ""]
                turned = picture.getexif().get(_ORIENTATION) in _ON_ITS_SIDE
                picture.load()  # the whole of it: half a file shows half a print
    except JobError:
        raise
    except Exception as error:  # the library has no one error for a broken file
        if "decompression bomb" in str(error):
            raise JobError(where, _too_many(name, ())) from None
        raise JobError(
            where, f"{name} is no whole PNG, JPEG or WebP picture; save it as one of these"
        ) from None
    return (media, up, across) if turned else (media, across, up)


def _too_many(name: str, size: Iterable[int]) -> str:
    has = " × ".join(str(side) for side in size) or "far too many"
    return f"{name} has {has} pixels; at most {MOST_PIXELS / 1e6:.0f} million are allowed: save it smaller"
