"""Pictures of cloth are read as they are, and absurd ones refused."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from cutfiles.core.errors import JobError
from cutfiles.job.model.job import Job
from cutfiles.sheet.pictures import cloth_picture
from cutfiles.sheet.pictures.cloth_picture import cloth_pictures
from tests.sheet.jobs import HARBOUR


def job_with(path: Path, width_mm: float = 100.0) -> Job:
    """A job whose first fabric has a picture."""
    first, *others = HARBOUR.fabrics
    return replace(HARBOUR, fabrics=(replace(first, picture=path, picture_width_mm=width_mm), *others))


@pytest.mark.parametrize(
    ("name", "media"), [("tide.png", "image/png"), ("tide.jpg", "image/jpeg"), ("tide.webp", "image/webp")]
)
def test_how_much_cloth_a_picture_shows_follows_from_its_pixels(
    tmp_path: Path, name: str, media: str
) -> None:
    """Whatever the file is called its content tells what it is, and goes into the page as it stands."""
    path = tmp_path / "picture"
    Image.new("RGB", (40, 30), "#7fb2bd").save(path, name.split(".")[1].replace("jpg", "jpeg"))
    (found,) = cloth_pictures(job_with(path)).values()
    assert (found.media, found.width_mm, found.height_mm) == (media, 100.0, 75.0)
    assert found.content == path.read_bytes()


def test_a_camera_that_was_turned_turns_the_sides(tmp_path: Path) -> None:
    """Browsers turn such a picture upright, so what is its width in the file is shown as its height."""
    exif = Image.Exif()
    exif[0x0112] = 6
    Image.new("RGB", (40, 30)).save(tmp_path / "turned.jpg", exif=exif)
    (found,) = cloth_pictures(job_with(tmp_path / "turned.jpg")).values()
    assert found.height_mm == pytest.approx(100 * 40 / 30)


def test_half_a_picture_is_refused(tmp_path: Path) -> None:
    """A copy that was broken off has a head that reads well."""
    path = tmp_path / "half.png"
    Image.effect_noise((60, 60), 50).save(path)
    path.write_bytes(path.read_bytes()[:-1500])
    with pytest.raises(JobError, match=r'picture: "half.png" is no whole PNG, JPEG or WebP'):
        cloth_pictures(job_with(path))


def test_a_strip_of_pixels_shows_too_little(tmp_path: Path) -> None:
    """100 mm across and half a mm up repeats to a blur."""
    Image.new("RGB", (200, 1)).save(tmp_path / "strip.png")
    with pytest.raises(JobError, match="too little; at least 3 mm each way"):
        cloth_pictures(job_with(tmp_path / "strip.png"))


@pytest.mark.parametrize("limit", ["MOST_BYTES", "MOST_PIXELS"])
def test_a_picture_that_is_too_large_is_told_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, limit: str
) -> None:
    """By its bytes or by its pixels."""
    Image.effect_noise((40, 40), 50).save(tmp_path / "large.png")
    monkeypatch.setattr(cloth_picture, limit, 100)
    with pytest.raises(JobError, match="save it smaller"):
        cloth_pictures(job_with(tmp_path / "large.png"))
