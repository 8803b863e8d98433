"""What the page answers, asked in the test's own process; and whom it doesn't answer."""

from __future__ import annotations

import asyncio
import io
import json
import os
import re
import signal
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from lxml import etree
from starlette.testclient import TestClient

from cutfiles.check.check import check_paths
from cutfiles.job.model.job import Register
from cutfiles.job.parse.read import parse_job
from cutfiles.page.desk import Desk
from cutfiles.page.fields.entry import field_at
from cutfiles.page.fields.presets import template_shapes
from cutfiles.page.server.app import guarded_app
from cutfiles.page.server.guard import MOST_BODY
from cutfiles.pipeline import make
from cutfiles.sheet.pictures.load import CUT, DRAW, FABRIC, MAT
from tests.cli.commands import DEMO, ROOT, SMALL
from tests.page.conftest import HOME, PORT
from tests.page.processes.alive import alive
from tests.page.waiting import wait


@pytest.fixture(name="laid", scope="module")
def _laid(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[TestClient, Desk]]:
    """A desk whose job was changed and laid out: for tests that only look."""
    job = tmp_path_factory.mktemp("laid") / "small.toml"
    job.write_text(SMALL, encoding="utf-8")
    desk = Desk.begin(job)
    client = TestClient(guarded_app(desk, PORT), base_url=HOME, headers={"Origin": HOME})
    client.get(f"/begin?token={desk.token}")
    client.post("/set", data={"at": "plate.blade_length", "value": "4 1/2"})
    _laid_out(client, desk)
    yield client, desk
    desk.close()


Laid = tuple[TestClient, Desk]


def _laid_out(client: TestClient, desk: Desk) -> None:
    client.post("/lay-out", data={})
    wait(lambda: desk.run is None or desk.run.over)


def test_a_unit_that_was_changed_alone_is_doubted(client: TestClient) -> None:
    """Inches that became centimetres make a plate that nobody means; it is asked where the picture is."""
    assert '<p id="doubts" role="status"></p>' in client.get("/desk").text
    client.post("/set", data={"at": "job.unit", "value": "cm"})
    asked = "are its numbers meant in cm? What a number without a unit means is said by “Unit”."
    assert asked in client.get("/desk").text
    client.post("/set", data={"at": "job.unit", "value": "in"})
    assert '<p id="doubts" role="status"></p>' in client.get("/desk").text


def test_the_way_ends_in_a_zip_that_check_passes(laid: Laid, tmp_path: Path) -> None:
    """Job file, machine files, layout.json and job sheet are in it, and the job file is the job."""
    client, _ = laid
    packed = client.get("/take/all.zip")
    with zipfile.ZipFile(io.BytesIO(packed.content)) as archive:
        archive.extractall(tmp_path / "cut")
    names = {path.name for path in (tmp_path / "cut").iterdir()}
    assert {"job.toml", "layout.json", "job-sheet.html", "load-01.svg", "load-01.dxf"} <= names
    report = check_paths([tmp_path / "cut"])
    assert (report.findings, report.pieces) == ((), 4)
    job = parse_job((tmp_path / "cut/job.toml").read_text(encoding="utf-8"))
    assert job.plate.blade_length_mm == 4.5 * 25.4
    shown = unescape(client.get("/").text)
    assert "The files were read back: no faults: 2 files, 4 pieces." in shown
    assert "job-sheet.html" in shown


def test_a_wrong_value_is_said_beside_its_field_and_nothing_is_lost(client: TestClient, desk: Desk) -> None:
    """It stays to be mended; laying out waits."""
    page = unescape(client.post("/set", data={"at": "plate.blade_length", "value": "<b>long"}).text)
    error = re.search(r'id="f-plate-blade-length-error"[^>]*>([^<]*)', client.get("/desk").text)
    assert error is not None
    assert "is not a length" in unescape(error[1])
    assert '"<b>long"' in unescape(error[1])
    assert "<b>" not in client.get("/").text  # nothing is echoed as markup
    assert 'value="<b>long"' in page
    assert client.post("/lay-out", data={}).status_code == 200
    assert desk.run is None


def test_progress_and_the_end_are_told_as_events(laid: Laid) -> None:
    """A layout that is found, and that it is over; a late listener is told both."""
    client, _ = laid
    with client.stream("GET", "/run/events") as stream:
        assert stream.headers["content-type"].startswith("text/event-stream")
        events = [line for line in stream.iter_lines() if line.startswith("event:")]
    assert events == ["event: layout", "event: over"]


def test_a_killed_worker_leaves_no_process(client: TestClient, desk: Desk) -> None:
    """The page says what happened, and can lay out again."""
    desk.take_text(DEMO.read_text(encoding="utf-8"))
    client.post("/lay-out", data={})
    run = desk.run
    assert run is not None
    wait(lambda: run.of)
    os.kill(run.pid, signal.SIGKILL)
    wait(lambda: run.over)
    wait(lambda: not alive(run.pid))
    assert "The laying out was ended from outside" in client.get("/").text
    assert (client.get("/take/all.zip").status_code == 200) is bool(run.found)


def test_stopped_it_keeps_the_best(client: TestClient, desk: Desk) -> None:
    """Whole, read back, and to be taken away; of a job whose search goes on once there is a first layout."""
    desk.take_text((ROOT / "fixtures/jobs/one-square/job.toml").read_text(encoding="utf-8"))
    client.post("/lay-out", data={})
    run = desk.run
    assert run is not None
    wait(lambda: run.found or run.over)
    os.kill(run.pid, signal.SIGSTOP)  # so that it isn't over before it is told to stop
    assert not run.over
    first = run.shown
    assert "Stopping" in client.post("/stop", data={}).text
    os.kill(run.pid, signal.SIGCONT)
    wait(lambda: run.over)
    assert run.failed == ""
    assert first is not None
    assert run.shown is not None
    assert run.shown["loads"] == first["loads"]
    assert run.shown["notes"], "nobody is told that the search was broken off"
    assert run.shown["check"]["faults"] == []
    assert client.get("/take/all.zip").status_code == 200


def test_a_job_that_cannot_be_met_says_so(client: TestClient, desk: Desk) -> None:
    """In the nest's own words, and nothing is there to take away."""
    client.post("/set", data={"at": "fabric.0.pieces", "value": "1"})
    _laid_out(client, desk)
    assert desk.run is not None
    assert "2 × blade" in desk.run.failed or "blade" in desk.run.failed
    assert client.get("/take/all.zip").status_code == 404


def test_a_job_changed_since_is_told_to_be(
    client: TestClient, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And the zip holds the job that was laid out, not the one that is edited."""
    monkeypatch.setattr("cutfiles.page.processes.run.WORKER", "tests.page.processes.quick_worker")
    _laid_out(client, desk)
    shown = client.post("/set", data={"at": "plate.seam", "value": "3/8"}).text
    assert "The job has changed since" in shown
    assert "the files of the job as it was laid out last" in shown
    with zipfile.ZipFile(io.BytesIO(client.get("/take/all.zip").content)) as archive:
        assert archive.read("job.toml").decode() == SMALL


def test_two_windows_keep_each_others_changes(client: TestClient, desk: Desk) -> None:
    """A field is changed by itself; where the list is another by now, nothing is guessed."""
    client.post("/set", data={"at": "plate.seam", "value": "3/8"})
    client.post("/set", data={"at": "plate.blade_length", "value": "5"})
    assert 'seam = "3/8"' in desk.text
    before = desk.revision
    client.post("/add-fabric", data={"preset": "squares-5", "pieces": "3", "print": "plain"})
    shown = client.post("/remove", data={"at": "fabric.0", "revision": str(before)}).text
    assert "Another window had changed the list meanwhile" in shown
    assert [fabric.name for fabric in parse_job(desk.text).fabrics] == ["tide", "fabric-2"]


def test_lines_are_as_thin_as_on_the_job_sheet(laid: Laid) -> None:
    """A picture grows with its column, its lines don't: 1 mm of paper is 96 / 25.4 px of a screen."""
    client, desk = laid
    assert desk.run is not None
    assert desk.run.shown is not None
    sheet = client.get("/take/file/job-sheet.html").text
    picture = etree.fromstring(desk.run.shown["loads"][0]["picture"])
    lines = [
        line for line in picture.iter() if line.get("stroke-width") and not str(line.tag).endswith("text")
    ]
    found = {(line.get("stroke"), float(str(line.get("stroke-width")))) for line in lines}
    for style in (CUT, DRAW, MAT, FABRIC):
        assert any(
            stroke == style.colour and abs(px / 96 * 25.4 - style.width) < 1e-3 for stroke, px in found
        )
    assert {line.get("vector-effect") for line in lines} == {"non-scaling-stroke"}
    dashed = [line for line in lines if line.get("stroke") == DRAW.colour and line.get("stroke-dasharray")]
    dashes = [
        tuple(float(part) / 96 * 25.4 for part in str(line.get("stroke-dasharray")).split())
        for line in dashed
    ]
    assert any(
        max(abs(dash - of) for dash, of in zip(each, DRAW.dashes, strict=True)) < 1e-3 for each in dashes
    )
    assert "vector-effect" not in sheet


def test_flaws_are_added_and_removed_by_a_press(client: TestClient, desk: Desk) -> None:
    """Each answer gives the focus to what comes next, and the fabric stays open."""
    client.post("/show", data={"at": "fabric.0"})
    shown = client.post("/add-flaw", data={"at": "0", "revision": str(desk.revision)}).text
    assert 'data-focus="f-fabric-0-avoid-0"' in shown
    client.post("/set", data={"at": "fabric.0.avoid.0.x", "value": "1/2"})
    client.post("/set", data={"at": "fabric.0.avoid.0.width", "value": "1/4"})
    corners = [(0.5, 0), (0.75, 0), (0.75, 1), (0.5, 1)]
    assert parse_job(desk.text).fabrics[0].avoid == (tuple((25.4 * x, 25.4 * y) for x, y in corners),)
    shown = client.post("/remove", data={"at": "fabric.0.avoid.0", "revision": str(desk.revision)}).text
    assert 'data-focus="f-fabric-0-avoid-add"' in shown
    assert 'id="f-fabric-0-avoid-add"' in shown
    assert desk.text == SMALL
    assert "no longer there" in client.post("/add-flaw", data={"at": "9"}).text


def test_save_writes_the_file_that_was_named_unless_somebody_else_did(client: TestClient, desk: Desk) -> None:
    """What another program wrote meanwhile stays."""
    assert desk.job is not None
    client.post("/set", data={"at": "plate.seam", "value": "3/8"})
    assert desk.job.read_text(encoding="utf-8") == SMALL
    client.post("/save", data={})
    assert desk.job.read_text(encoding="utf-8") == desk.text != SMALL
    desk.job.write_text("# mine\n", encoding="utf-8")
    client.post("/set", data={"at": "plate.seam", "value": "1/8"})
    assert "changed elsewhere meanwhile" in client.post("/save", data={}).text
    assert desk.job.read_text(encoding="utf-8") == "# mine\n"


def test_a_job_file_is_opened_with_its_drawings_and_reaches_no_others(client: TestClient, desk: Desk) -> None:
    """A name that leads elsewhere is refused, in the upload and in the job."""
    drawing = b'<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="50mm" viewBox="0 0 50 50">' + (
        b'<script>alert(1)</script><path d="M0 0H50V50H0Z"/></svg>'
    )
    text = SMALL + '\n[[outline]]\nname = "leaf"\nfile = "leaf.svg"\n'
    files: list[Any] = [("files", ("leaf.toml", text.encode())), ("files", ("../leaf.svg", drawing))]
    files.append(("files", ("leaf.svg", drawing)))
    shown = client.post("/open", files=files).text
    assert desk.seen.problem is None
    assert "<script>alert" not in shown
    assert not (desk.home / "leaf.svg").exists()
    client.post("/set", data={"at": "outline.0.file", "value": "../../etc/passwd.svg"})
    assert "another folder" in str(desk.seen.problem)


_NOTES = '[machine]\nregister = "ring"\n'
_SQUARE = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="{0}mm" height="{0}mm" viewBox="0 0 9 9">'
    '<path d="M0 0H9V9H0Z"/></svg>'
)


def test_a_job_from_the_zip_is_made_again_in_an_empty_folder(tmp_path: Path) -> None:
    """One drawing lay above it, one was called as a machine file is, and its notes lay in another folder."""
    home = tmp_path / "home/job"
    (home / "notes").mkdir(parents=True)
    (home.parent / "leaf.svg").write_text(_SQUARE.format(30), encoding="utf-8")
    (home / "load-01.svg").write_text(_SQUARE.format(20), encoding="utf-8")
    (home / "notes/cutter.toml").write_text(_NOTES, encoding="utf-8")
    text = SMALL.replace("[plate]", '[job]\nmachine = "notes/cutter.toml"\n[plate]').replace(
        "pieces = 2", 'pieces = 3\ncuts = { blade = "rest", leaf = 1, kelp = 1 }'
    )
    text += '[[outline]]\nname = "leaf"\nfile = "../leaf.svg"\n'
    text += '[[outline]]\nname = "kelp"\nfile = "load-01.svg"\n'
    (home / "job.toml").write_text(text, encoding="utf-8")
    desk = Desk.begin(home / "job.toml")
    desk.lay_out()
    wait(lambda: not desk.is_laying_out)
    (home / "load-01.svg").unlink()  # the zip holds it as it was
    packed = desk.zipped()
    desk.close()
    assert packed is not None
    with zipfile.ZipFile(io.BytesIO(packed)) as archive:
        archive.extractall(tmp_path / "cut")
    there = {path.name: path.read_bytes() for path in (tmp_path / "cut").iterdir() if path.is_file()}
    made = make(tmp_path / "cut/job.toml").files
    assert {name: there[name] for name in made} == made
    assert {*there} - {*made} == {"job.toml", "leaf.svg", "load-01-2.svg"}
    assert (tmp_path / "cut/notes/cutter.toml").read_text(encoding="utf-8") == _NOTES


def test_a_job_is_opened_with_all_that_it_names(client: TestClient, desk: Desk) -> None:
    """Notes on its machine end in .toml as well; paths to where it came from name what was given with it."""
    text = SMALL.replace("[plate]", '[job]\nmachine = "../machines/cutter.toml"\n[plate]')
    text += '[[outline]]\nname = "leaf"\nfile = "../leaf.svg"\n'
    files: list[Any] = [("files", ("cutter.toml", _NOTES.encode())), ("files", ("plate.toml", text.encode()))]
    files.append(("files", ("leaf.svg", _SQUARE.format(30).encode())))
    client.post("/open", files=files)
    assert desk.seen.problem is None
    assert desk.seen.sized is not None
    assert desk.seen.sized.job.machine.register is Register.RING
    assert 'file = "leaf.svg"' in desk.text
    client.post("/open", files=files[1:])
    assert "open the file with the job" in unescape(client.get("/desk").text)


def test_a_drawing_is_given_where_it_is_named(client: TestClient, desk: Desk) -> None:
    """Kept under the shape's own name beside the job; what is no drawing is told, and nothing changes."""
    client.post("/add-outline", data={})
    before = desk.text

    def give(at: str, name: str, content: str) -> str:
        data = {"at": at}
        return unescape(client.post("/give", data=data, files={"file": (name, content.encode())}).text)

    assert "ends in .svg or .dxf" in give("outline.0.file", "leaf.pdf", "%PDF")
    assert "ends in nothing" in give("job.title", "leaf.svg", _SQUARE)
    broken = give(
        "outline.0.file", "leaf.svg", '<svg xmlns="http://www.w3.org/2000/svg"><script>x</script></svg>'
    )
    assert "outline-1.svg" in broken
    assert "<script>x" not in broken
    assert desk.text == before
    assert not list(desk.folder.glob("*.svg"))
    shown = give("outline.0.file", "../../leaf.svg", _SQUARE.format(30))
    assert "The drawing measures 1 3/16 in (1.1811) × 1 3/16 in (1.1811)." in shown  # 30 mm
    assert "outline-1.svg lies beside small.toml" in shown
    assert desk.seen.problem is None
    assert [path.name for path in desk.folder.glob("*.svg")] == ["outline-1.svg"]
    assert "points" not in desk.text
    give("fabric.0.outline", "scrap.svg", _SQUARE.format(90))
    assert desk.seen.problem is None
    assert "width = 4.5" not in desk.text
    give("job.machine", "cutter.toml", _NOTES)
    assert desk.seen.sized is not None
    assert desk.seen.sized.job.machine.register is Register.RING


def test_a_file_that_is_no_job_is_told_to_be(client: TestClient, desk: Desk) -> None:
    """And the job on the desk stays."""
    assert "Choose one job file" in client.post("/open", files=[("files", ("a.png", b"\x89PNG"))]).text
    assert "is not UTF-8" in client.post("/open", files=[("files", ("a.toml", b"\xff\xfe\x00"))]).text
    assert desk.text == SMALL


@pytest.mark.parametrize("text", ["[plate", "x = 1\n", "", "fabric = 3\n[plate]\n", "[[fabric]]\nname = 3\n"])
def test_any_text_is_shown_with_what_is_wrong_with_it(client: TestClient, text: str) -> None:
    """A job of another version, or none at all: the text can be mended in place."""
    shown = client.post("/text", data={"text": text})
    assert shown.status_code == 200
    assert 'id="problem"' in shown.text
    assert client.get("/").status_code == 200


def _stranger(desk: Desk, **headers: str) -> TestClient:
    return TestClient(guarded_app(desk, PORT), base_url=HOME, headers=headers)


def test_without_its_token_the_page_is_shown_to_nobody(desk: Desk) -> None:
    """Nor with that of an earlier start: the answer says kindly what to do."""
    for client in (_stranger(desk), _stranger(desk, Cookie=f"cutfiles-{PORT}=earlier")):
        answer = client.get("/")
        assert answer.status_code == 403
        assert "Open the address that was printed last" in answer.text
        assert "blade" not in answer.text
    assert _stranger(desk).get("/begin?token=guess").status_code == 403


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Host": "evil.example"}, 403),
        ({"Host": f"127.0.0.1:{PORT + 1}"}, 403),
        ({"Origin": "http://evil.example"}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": f"https://127.0.0.1:{PORT}"}, 403),
        ({}, 403),  # no origin at all
    ],
)
def test_no_other_page_may_change_anything(desk: Desk, headers: dict[str, str], status: int) -> None:
    """Even with the token: a browser sends its cookies along for others."""
    client = _stranger(desk, Cookie=f"cutfiles-{PORT}={desk.token}", **headers)
    assert client.post("/set", data={"at": "plate.seam", "value": "1/8"}).status_code == status
    assert desk.text == SMALL


def test_bodies_are_bounded(client: TestClient, desk: Desk) -> None:
    """A hundred megabytes are refused unread, and counted where nobody says how much is to come."""
    huge = {"content-length": "100000000", "content-type": "application/x-www-form-urlencoded"}
    assert client.post("/text", headers=huge, content=b"").status_code == 413
    pieces = (b"x" * 1_000_000 for _ in range(MOST_BODY // 1_000_000 + 2))
    assert client.post("/text", content=pieces).status_code == 413
    assert desk.text == SMALL


def test_a_slow_body_is_not_waited_for(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """A client that sends a byte now and then is told to go."""
    monkeypatch.setattr("cutfiles.page.server.guard._BODY_S", 0.05)
    sent: list[Any] = []

    async def receive() -> Any:
        await asyncio.sleep(0.02)
        return {"type": "http.request", "body": b"x", "more_body": True}

    async def send(message: Any) -> None:
        sent.append(message)

    headers = [
        (b"host", f"127.0.0.1:{PORT}".encode()),
        (b"origin", HOME.encode()),
        (b"cookie", f"cutfiles-{PORT}={desk.token}".encode()),
    ]
    scope = {"type": "http", "method": "POST", "path": "/text", "headers": headers}
    asyncio.run(guarded_app(desk, PORT)(scope, receive, send))
    assert sent[0]["status"] == 408


def test_a_path_leads_out_of_no_folder(laid: Laid) -> None:
    """Files are given by names that were listed."""
    client, _ = laid
    assert client.get("/take/file/layout.json").status_code == 200
    outside = ("static/..%2fapp.py", "take/file/..%2fjob.toml", "take/file/%2fetc%2fpasswd")
    for path in outside:
        assert client.get(f"/{path}").status_code == 404


def test_every_answer_forbids_what_is_not_the_pages_own(client: TestClient) -> None:
    """No script but the page's files, no frame around it, nothing kept."""
    for path in ("/", "/static/page.js", "/take/job.toml"):
        headers = client.get(path).headers
        policy = headers["content-security-policy"]
        assert "script-src 'self';" in policy
        assert "unsafe" not in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cache-control"] == "no-store"
    page = client.get("/").text
    assert not re.search(r"<script(?![^>]*\bsrc=)|\son[a-z]+=|style=", page)


def test_the_disk_refusing_is_told(client: TestClient, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """The job on the desk stays as it is."""

    def refuses(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pathlib.Path.mkdir", refuses)
    shown = client.post("/lay-out", data={}).text
    assert "No space left on device" in shown
    assert desk.text == SMALL


def test_one_laying_out_leaves_nothing_of_another(
    client: TestClient, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What an earlier laying out wrote goes with it."""
    monkeypatch.setattr("cutfiles.page.processes.run.WORKER", "tests.page.processes.quick_worker")
    for _ in range(2):
        _laid_out(client, desk)
        assert desk.run is not None
        assert desk.run.folder is not None
    assert [path.name for path in desk.home.glob("run-*")] == ["run-2"]
    desk.close()
    assert not desk.home.exists()


def test_the_worker_makes_what_make_makes(laid: Laid) -> None:
    """To the byte: the page is a face of the same line."""
    _, desk = laid
    assert desk.run is not None
    assert desk.run.folder is not None
    made = make(parse_job(desk.text)).files
    there = {path.name: path.read_bytes() for path in desk.run.folder.iterdir()}
    assert there == made
    assert json.loads(there["layout.json"])["loads"]


def test_a_piece_of_cloth_is_kept_out_and_put_back_in(client: TestClient, desk: Desk) -> None:
    """By a key of the job; with the last piece the fabric goes, and comes again."""
    for left, way in ((1, "out"), (None, "out"), (1, "in"), (2, "in"), (2, "in")):
        shown = client.post("/keep-out", data={"name": "tide", "way": way}).text
        assert desk.seen.sized is not None
        fabrics = desk.seen.sized.job.fabrics
        assert [fabric.pieces for fabric in fabrics] == ([left] if left else [])
        assert ("Put back in" in shown) is (left != 2)
    assert parse_job(desk.text) == parse_job(SMALL)
    assert "no longer there" in client.post("/keep-out", data={"name": "kelp", "way": "out"}).text


def test_several_fabrics_of_a_table_are_made_each_one_by_itself(client: TestClient, desk: Desk) -> None:
    """The same job, so that each can have a picture; those of one pack stay together."""
    several = SMALL.replace('name = "tide"', 'names = ["tide", "kelp", "gull"]  # of the basket')
    several += '[[fabric]]\nname = "limpet"\nwidth = 9\nlength = 9\n# the last line\n'
    client.post("/text", data={"text": several})
    assert "They share one picture" in client.post("/show", data={"at": "fabric.0"}).text
    before = parse_job(several).fabrics
    client.post("/part", data={"at": "0"})
    assert parse_job(desk.text).fabrics == before
    assert "names" not in desk.text
    assert "# the last line" in desk.text
    assert "is no longer there" in client.post("/part", data={"at": "0"}).text
    client.post("/text", data={"text": several.replace("pieces = 2", "pieces = 2\npack = 6")})
    assert "sold in one pack" in client.post("/part", data={"at": "0"}).text


def test_what_is_wrong_leads_to_its_field(client: TestClient) -> None:
    """By the field's name; what is of no field keeps its place in the words of the file."""

    def problem(text: str) -> str:
        shown = client.post("/text", data={"text": text}).text
        found = re.search(r'<p id="problem"[^>]*>(.*?)</p>', shown)
        assert found is not None
        return unescape(found[1])

    told = problem(SMALL.replace('"4 3/4"', '"long"'))
    assert told.startswith('<a href="#f-plate-blade-length">Blade length</a>: "long" is not a length')
    assert problem(SMALL.replace("width = 4.5", "width = 0")).startswith(
        '<a href="#f-fabric-0-width">Width</a>: '
    )
    told = problem(SMALL.replace("sewn", "sown"))
    assert told.startswith('<a href="#t-plate">The ring of blades</a>: Unknown key "sown"')
    assert problem(f"colour = 3\n{SMALL}").startswith("Colour: ")
    assert problem(SMALL) == ""


def test_what_is_found_while_laying_out_leads_to_its_place(client: TestClient, desk: Desk) -> None:
    """Such as a template that the stock is too small for; once the job is another it is marked no more."""
    client.post("/add-template", data={"shape": "placement"})
    assert desk.seen.problem is None
    client.post("/show", data={"at": "template.0"})  # folded again
    _laid_out(client, desk)
    shown = unescape(client.get("/desk").text)
    assert re.search(
        r'<div class="error" role="alert"><p><a href="#t-template-0">Template</a>: Placement is ', shown
    )
    assert 'id="f-template-0-shape"' in shown, "it is folded away"
    assert not re.search(r'id="lay-out"[^>]* disabled', shown)
    shown = unescape(client.post("/set", data={"at": "stock.width", "value": "400 mm"}).text)
    assert 'id="f-template-0-shape"' not in shown
    assert "Template.1: placement is " in shown


def test_a_template_is_chosen_in_words(client: TestClient, desk: Desk) -> None:
    """Each that there is, and shapes of one's own; stock to cut it from comes with it."""
    choices = field_at(("template", "shape")).choices
    client.post("/add-outline", data={})
    assert [shape for shape, _ in template_shapes(desk.seen.tables)] == [*choices, "outline-1"]
    shown = client.post("/add-template", data={"shape": "outline-1"}).text
    assert desk.seen.problem is None
    assert "<h3>outline-1</h3>" in shown
    shown = client.post("/add-template", data={"shape": "blade-window"}).text
    assert "<h3>Frame of a blade, to see the motif through</h3>" in shown
    assert 'shape = "blade-window"' in desk.text


def test_fabrics_are_put_in_order_by_hand(client: TestClient, desk: Desk) -> None:
    """What would be spread is written down, and a fabric is moved; places that aren't there are refused."""
    client.post(
        "/text",
        data={
            "text": SMALL + SMALL[SMALL.index("[[fabric]]") : SMALL.index("[mat]")].replace("tide", "kelp")
        },
    )
    client.post("/order-by-hand", data={})
    assert desk.seen.sized is not None
    before = desk.seen.sized.job.plate.order
    assert before is not None
    assert sorted(before) == ["kelp", "kelp", "tide", "tide"]
    shown = client.post("/order-move", data={"number": "3", "to": "0"}).text
    assert desk.seen.sized is not None
    assert desk.seen.sized.job.plate.order == (before[3], *before[:3])
    assert 'data-focus="order-0-earlier"' in shown
    for wrong in ({"number": "0", "to": "4"}, {"number": "-1", "to": "0"}, {"number": "x", "to": "0"}):
        assert "no such place" in client.post("/order-move", data=wrong).text
    client.post("/order-spread", data={})
    assert desk.seen.sized is not None
    assert not desk.seen.sized.job.plate.order


def test_the_run_is_told_stroke_by_stroke(laid: Laid) -> None:
    """As many as the machine file has, first all of the pen, last all of the knife."""
    client, desk = laid
    told = client.get("/run/strokes/0").json()
    tools = [stroke["tool"] for stroke in told["strokes"]]
    assert tools == sorted(tools, key=["draw", "register", "cut"].index)
    cuts = {stroke["piece"] for stroke in told["strokes"] if stroke["tool"] == "cut"}
    assert len(cuts) == 4
    assert desk.run is not None
    assert desk.run.folder is not None
    svg = (desk.run.folder / "load-01.svg").read_text(encoding="utf-8")
    assert len(tools) == len(re.findall(r"<(?:path|circle|line|polyline|polygon) ", svg))
    shown = client.get("/").text
    assert all(f"<title>{piece}: blade</title>" in shown for piece in cuts)
    assert client.get("/run/strokes/1").status_code == 404


def test_what_is_nowhere_else_is_not_closed_without_asking(client: TestClient, desk: Desk) -> None:
    """A change is, until it is saved or taken away; an example isn't, and neither is what was opened."""
    marked = 'data-unsaved="1"'
    assert marked not in client.get("/desk").text
    assert marked in client.post("/set", data={"at": "plate.seam", "value": "3/8"}).text
    assert marked not in client.post("/save", data={}).text
    assert marked in client.post("/set", data={"at": "plate.seam", "value": "1/4"}).text
    client.get("/take/job.toml")
    assert marked not in client.get("/desk").text
    assert marked not in client.post("/example", data={"name": "scraps"}).text
    client.post("/set", data={"at": "plate.seam", "value": "3/8"})
    files = [("files", ("leaf.toml", SMALL.encode()))]
    assert marked not in client.post("/open", files=files).text


def test_the_first_answer_waits_for_no_heavy_library(tmp_path: Path) -> None:
    """Those of geometry, of pictures and of other formats come when they are needed."""
    asked = f"""
import sys
from pathlib import Path
from starlette.testclient import TestClient
from cutfiles.page.server.app import guarded_app
from cutfiles.page.desk import Desk
desk = Desk.begin(Path({str(DEMO)!r}))
client = TestClient(guarded_app(desk, {PORT}), base_url={HOME!r})
assert "Blade length" in client.get(f"/begin?token={{desk.token}}").text
assert "<svg" in client.get("/picture/block.corner.svg").text
desk.close()
print(sorted({{"shapely", "numpy", "highspy", "ezdxf", "PIL", "pypdf"}} & set(sys.modules)))
"""
    told = subprocess.run(
        [sys.executable, "-c", asked], capture_output=True, text=True, check=True, cwd=tmp_path
    )
    assert told.stdout.strip() == "[]"
