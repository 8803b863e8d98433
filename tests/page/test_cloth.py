"""A picture of cloth given through the page: made anew, set to scale, and a motif chosen on it."""

from __future__ import annotations

import io
import math
import struct
import time
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from starlette.testclient import TestClient

from cutfiles.job.parse.read import parse_job
from cutfiles.page.cloth import MOST_SIDE, made_anew, outlines_of
from cutfiles.page.desk import Desk
from cutfiles.pipeline import size
from tests.cli.commands import SMALL


def _picture(across: int, down: int, kind: str = "PNG", mode: str = "RGB", **options: object) -> bytes:
    saved = io.BytesIO()
    Image.new(mode, (across, down), "#7fb2bd").save(saved, kind, **options)  # type: ignore[arg-type]
    return saved.getvalue()


def _bomb() -> bytes:
    """A picture of a few bytes that says it has 60,000 × 60,000 pixels."""

    def chunk(kind: bytes, content: bytes) -> bytes:
        crc = struct.pack(">I", zlib.crc32(kind + content))
        return struct.pack(">I", len(content)) + kind + content + crc

    header = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 0, 0, 0, 0)
    parts = chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + parts


def _give(client: TestClient, content: bytes, name: str = "photo.png") -> str:
    return client.post("/cloth", data={"at": "0"}, files={"picture": (name, content)}).text


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "WEBP"])
def test_a_picture_is_made_anew_from_its_pixels(kind: str) -> None:
    """No larger than is of use, upright, and with nothing beside the pixels, such as where it was taken."""
    exif = Image.Exif()
    exif[0x0112], exif[0x010E] = 6, "the harbour"  # the camera was held on its side
    anew = made_anew(_picture(MOST_SIDE + 400, MOST_SIDE // 2 + 200, kind, exif=exif))
    with Image.open(io.BytesIO(anew)) as picture:
        assert (picture.format, picture.size) == ("JPEG", (MOST_SIDE // 2, MOST_SIDE))
        assert not dict(picture.getexif())
    assert b"harbour" not in anew


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (_bomb, "pixels; at most 50 million"),
        (lambda: _picture(7100, 7100, mode="1"), "7100 × 7100 pixels"),
        (lambda: _picture(50, 50)[:60], "no whole JPEG, PNG or WebP"),
        (lambda: _picture(50, 50, "GIF"), "no whole JPEG, PNG or WebP"),
        (lambda: b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>', "no whole"),
        (bytes, "no whole"),
    ],
    ids=["bomb", "too large", "half of it", "another kind", "drawing with a script", "nothing"],
)
def test_what_is_no_picture_is_refused(
    client: TestClient, desk: Desk, given: Callable[[], bytes], says: str
) -> None:
    """Bombs before they are decoded; the job stays as it was, and nothing lies beside it."""
    assert says in _give(client, given())
    assert desk.text == SMALL
    assert [path.name for path in desk.folder.iterdir()] == ["small.toml"]


def test_a_picture_shows_the_cloth_everywhere_and_is_taken_away_with_the_job(
    client: TestClient, desk: Desk, tmp_path: Path
) -> None:
    """Beside the job, under a name that no file has; on the plate, in the list, and in the zip."""
    (tmp_path / "tide.jpg").write_bytes(b"mine")
    shown = _give(client, _picture(400, 300))
    assert (tmp_path / "tide.jpg").read_bytes() == b"mine"
    assert parse_job(desk.text, folder=tmp_path).fabrics[0].picture == tmp_path / "tide-2.jpg"
    assert 'fill="url(#cloth-1)"' in shown
    assert client.get("/cloth/0").headers["content-type"] == "image/jpeg"
    assert client.get("/cloth/1").status_code == client.get("/laid/0").status_code == 404
    client.post("/lay-out", data={})
    while desk.is_laying_out:
        time.sleep(0.02)
    assert 'fill="url(#laid-1)"' in client.get("/").text
    assert client.get("/laid/0").content == (tmp_path / "tide-2.jpg").read_bytes()
    with zipfile.ZipFile(io.BytesIO(client.get("/take/all.zip").content)) as archive:
        archive.extractall(tmp_path / "cut")
    taken = parse_job((tmp_path / "cut/job.toml").read_text(encoding="utf-8"), folder=tmp_path / "cut")
    assert taken.fabrics[0].picture is not None
    assert taken.fabrics[0].picture.exists()


def test_two_marks_and_their_distance_set_the_scale(client: TestClient, desk: Desk) -> None:
    """3, 4 and 5: marks 60 % across and 60 % down a picture of 4 by 3 are 0.75 of its width apart."""
    _give(client, _picture(400, 300))
    marks = {"at": "0", "x1": "10", "y1": "20", "x2": "70", "y2": "80"}
    client.post("/scale", data={**marks, "distance": "3 in"})
    assert desk.seen.sized is not None
    width_mm = desk.seen.sized.job.fabrics[0].picture_width_mm
    assert width_mm == pytest.approx(3 * 25.4 / math.hypot(0.6, 0.6 * 3 / 4), abs=0.1)
    before = desk.text
    wrongs = ({"distance": "far"}, {"distance": "0"}, {"x2": "10", "y2": "20"}, {"x1": "200"}, {"x1": "nan"})
    for wrong in wrongs:
        answer = client.post("/scale", data={**marks, "distance": "3 in", **wrong}).text
        assert '<p id="told" role="status"></p>' not in answer
        assert desk.text == before


def test_a_motif_lies_in_the_first_repeat_wherever_it_was_put(client: TestClient, desk: Desk) -> None:
    """A whole repeat further the print is the same; below the corner as well."""
    _give(client, _picture(400, 300))
    assert "needs a repeat" in client.post("/motif", data={"at": "0", "x": "1", "y": "1"}).text
    client.post("/set", data={"at": "fabric.0.picture_width", "value": "2"})
    client.post("/whole-repeat", data={"at": "0"})
    for x, y in ((3.25, 0.25), (1.25, -1.25), (-0.75, 1.75)):
        client.post("/motif", data={"at": "0", "x": str(x * 25.4), "y": str(y * 25.4)})
        assert desk.seen.problem is None
        assert desk.seen.sized is not None
        repeat = desk.seen.sized.job.fabrics[0].repeat
        assert repeat is not None
        assert (repeat.width_mm, repeat.length_mm) == pytest.approx((50.8, 38.1), abs=0.01)
        assert repeat.motif == pytest.approx((1.25 * 25.4, 0.25 * 25.4), abs=25.4 / 128 + 0.01)
    assert "is no place" in client.post("/motif", data={"at": "0", "x": "inf", "y": "1"}).text


def test_pictures_that_come_with_a_job_are_made_anew_too(client: TestClient, desk: Desk) -> None:
    """Under their own names, so that the job finds them."""
    text = SMALL.replace("pieces = 2", 'pieces = 2\npicture = "tide.png"\npicture_width = 2')
    files = [("files", ("a.toml", text.encode())), ("files", ("tide.png", _picture(90, 60)))]
    client.post("/open", files=files)
    assert desk.seen.problem is None
    assert (desk.home / "job/tide.png").read_bytes()[:2] == b"\xff\xd8"
    assert (
        "at most 50 million" in client.post("/open", files=[files[0], ("files", ("tide.png", _bomb()))]).text
    )


def test_a_picture_that_is_gone_is_told_beside_its_field(client: TestClient, desk: Desk) -> None:
    """And the plate is drawn nevertheless."""
    _give(client, _picture(90, 60))
    (desk.folder / "tide.jpg").unlink()
    shown = client.post("/set", data={"at": "plate.seam", "value": "3/8"}).text
    assert 'id="f-fabric-0-picture-error"' in shown
    assert 'class="blade"' in shown


@pytest.mark.parametrize(
    ("plate", "cuts", "spans"),
    [
        ("", "blade", [(1.25, 6)]),
        ('tip = "round"', "blade", [(1.25, 6)]),
        # A seam's allowance on both sides of the seam, 4 in from the centre.
        ("bands = [4]", "band-1 band-2", [(1.25, 4.25), (3.75, 6)]),
        ("bands = [4]", "band-2", [(3.75, 6)]),
        ('second_length = "4 1/4"', "blade second-blade", [(1.25, 6), (1.25, 5.5)]),
        ("", "leaf", [(-0.25, 3.25)]),
    ],
)
def test_over_the_print_lies_what_is_really_cut(
    plate: str, cuts: str, spans: list[tuple[float, float]]
) -> None:
    """Each shape that the fabric gives, from its narrow end to its wide one, in inches from their origin."""
    given = ", ".join(f'{name} = "rest"' if name != "leaf" else "leaf = 1" for name in cuts.split())
    text = SMALL.replace("sewn = 4", plate).replace("pieces = 2", f"pieces = 90\ncuts = {{ {given} }}")
    text += '[[outline]]\nname = "leaf"\npoints = [[0, 0], [3, 0], [3, 3], [0, 3]]\n'
    sized = size(parse_job(text))
    outlines = outlines_of(sized.job, sized.plate, sized.job.fabrics[0])
    ups = [[y / 25.4 for _, y in outline] for outline in outlines]
    assert [(min(up), max(up)) for up in ups] == [pytest.approx(span, abs=0.01) for span in spans]
    assert (max(map(len, outlines)) > 8) is ("round" in plate)


def test_a_circle_is_shown_as_it_is_cut() -> None:
    """As far round its middle as the plate says."""
    ring = SMALL.replace("sewn = 4", "").replace("pieces = 2", "cuts = { centre = 1 }")
    sized = size(parse_job(f"[centre]\n{ring}"))
    (outline,) = outlines_of(sized.job, sized.plate, sized.job.fabrics[0])
    assert sized.plate.centre is not None
    assert {round(math.hypot(x, y), 2) for x, y in outline} == {round(sized.plate.centre.cut_radius_mm, 2)}
