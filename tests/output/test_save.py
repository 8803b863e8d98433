"""All files or none, and nothing that isn't ours is lost."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from cutfiles.core.errors import DiskError
from cutfiles.output.layout_json import FORMAT, LAYOUT_NAME, sealed
from cutfiles.output.save import save

FIRST = {"load-01.svg": b"<svg/>", "load-02.svg": b"<svg>2</svg>", "job-sheet.html": b"<p>"}
SECOND = {"load-01.svg": b"<svg>new</svg>", "job-sheet.html": b"<p>new"}


def whole(files: dict[str, bytes]) -> dict[str, bytes]:
    """Return a set of files with the layout.json that knows them."""
    return {**files, LAYOUT_NAME: sealed({"format": FORMAT}, files)}


def files_in(folder: Path) -> dict[str, bytes]:
    """Return what a folder holds, links and folders as what they are."""
    return {
        path.name: b"a folder" if path.is_dir() else b"a link" if path.is_symlink() else path.read_bytes()
        for path in folder.iterdir()
    }


def test_files_are_written_into_a_new_folder_and_nothing_beside_it(tmp_path: Path) -> None:
    """Folders are made as need be, and the place where files waited is gone."""
    save(tmp_path / "a" / "out", whole(FIRST))
    assert files_in(tmp_path / "a" / "out") == whole(FIRST)
    assert [path.name for path in (tmp_path / "a").iterdir()] == ["out"]


def test_a_second_run_replaces_ours_and_removes_loads_that_are_no_more(tmp_path: Path) -> None:
    """What the first run wrote makes room, stale loads too; a stranger's file stays."""
    save(tmp_path / "out", whole(FIRST))
    (tmp_path / "out" / "notes.txt").write_bytes(b"mine")
    save(tmp_path / "out", whole(SECOND))
    assert files_in(tmp_path / "out") == {**whole(SECOND), "notes.txt": b"mine"}


def test_a_strangers_file_is_never_overwritten(tmp_path: Path) -> None:
    """A name that is taken stops everything, and the message names the file."""
    out = tmp_path / "out"
    out.mkdir()
    (out / "load-01.svg").write_bytes(b"theirs")
    with pytest.raises(DiskError, match=r"load-01\.svg: this file is there and was not written by cutfiles"):
        save(out, whole(FIRST))
    assert files_in(out) == {"load-01.svg": b"theirs"}


def test_our_own_file_is_not_overwritten_once_somebody_changed_it(tmp_path: Path) -> None:
    """Work that went into a file after us is kept."""
    out = tmp_path / "out"
    save(out, whole(FIRST))
    (out / "load-01.svg").write_bytes(b"<svg>touched up</svg>")
    before = files_in(out)
    with pytest.raises(DiskError, match="changed since"):
        save(out, whole(SECOND))
    assert files_in(out) == before


def test_a_changed_stale_load_is_left_where_it_is(tmp_path: Path) -> None:
    """A load that the new run doesn't have, and somebody has changed, is theirs now."""
    out = tmp_path / "out"
    save(out, whole(FIRST))
    (out / "load-02.svg").write_bytes(b"touched up")
    save(out, whole(SECOND))
    assert files_in(out) == {**whole(SECOND), "load-02.svg": b"touched up"}


def test_a_changed_layout_makes_every_file_foreign(tmp_path: Path) -> None:
    """Without a seal that holds we know no file of ours."""
    out = tmp_path / "out"
    save(out, whole(FIRST))
    text = (out / LAYOUT_NAME).read_text()
    (out / LAYOUT_NAME).write_text(text.replace("cutfiles layout", "cutfiles  layout"))
    before = files_in(out)
    with pytest.raises(DiskError):
        save(out, whole(SECOND))
    assert files_in(out) == before


@pytest.mark.parametrize("kind", ["folder", "link to nowhere", "link to a file"])
def test_folders_and_links_of_others_are_kept(tmp_path: Path, kind: str) -> None:
    """Whatever stands under a name, it is not overwritten, nor what it leads to."""
    out, far = tmp_path / "out", tmp_path / "far.svg"
    out.mkdir()
    if kind == "folder":
        (out / "load-01.svg").mkdir()
    else:
        (out / "load-01.svg").symlink_to(far)
        if kind == "link to a file":
            far.write_bytes(b"far")
    before = files_in(out)
    with pytest.raises(DiskError):
        save(out, whole(FIRST))
    assert files_in(out) == before
    assert far.exists() == (kind == "link to a file")


def test_a_file_of_ours_behind_a_link_is_replaced_and_the_far_end_kept(tmp_path: Path) -> None:
    """The link goes, what it led to stays as it was."""
    out, far = tmp_path / "out", tmp_path / "far.svg"
    save(out, whole(FIRST))
    (out / "load-01.svg").rename(far)
    (out / "load-01.svg").symlink_to(far)
    save(out, whole(SECOND))
    assert files_in(out) == whole(SECOND)
    assert far.read_bytes() == FIRST["load-01.svg"]


def test_a_link_to_a_folder_is_written_through(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The folder may be a link to another disk: files wait, and move, where it leads."""
    (tmp_path / "real").mkdir()
    (tmp_path / "out").symlink_to(tmp_path / "real")
    save(tmp_path / "out", whole(FIRST))
    real = os.replace

    def replace(source: Path, target: Path) -> None:
        assert (tmp_path / "real") in source.resolve().parents
        real(source, target)

    monkeypatch.setattr(os, "replace", replace)
    save(tmp_path / "out", whole(SECOND))
    assert (tmp_path / "out").is_symlink()
    assert files_in(tmp_path / "real") == whole(SECOND)


@pytest.mark.parametrize("far", ["../far.svg", "{folder}/far.svg", "deep/../../far.svg", "", ".", ".."])
def test_a_forged_layout_removes_nothing_outside_its_folder(tmp_path: Path, far: str) -> None:
    """Anybody can seal a layout.json; a name in it that leads elsewhere leads nowhere."""
    out = tmp_path / "out"
    (out / "deep").mkdir(parents=True)
    (tmp_path / "far.svg").write_bytes(b"far")
    (out / "far.svg").write_bytes(b"far")
    name = far.format(folder=tmp_path)
    (out / LAYOUT_NAME).write_bytes(sealed({"format": FORMAT}, {name: b"far"}))
    save(out, whole(FIRST))
    assert (tmp_path / "far.svg").read_bytes() == b"far"
    assert files_in(out) == {**whole(FIRST), "deep": b"a folder", "far.svg": b"far"}


def test_a_folder_that_is_a_file_is_refused(tmp_path: Path) -> None:
    """The message says what stands there."""
    (tmp_path / "out").write_bytes(b"x")
    with pytest.raises(DiskError, match="is a file, not a folder"):
        save(tmp_path / "out", whole(FIRST))


STEPS = len(whole(FIRST)) + len(whole(SECOND))


@pytest.mark.parametrize("step", range(STEPS))
def test_a_disk_that_refuses_half_way_leaves_the_earlier_set(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: int
) -> None:
    """At whichever move the disk refuses, every earlier file is back."""
    out = tmp_path / "out"
    save(out, whole(FIRST))
    (out / "notes.txt").write_bytes(b"mine")
    _refuse(monkeypatch, {step})
    with pytest.raises(DiskError, match=r"the disk refused .*; nothing was changed"):
        save(out, whole(SECOND))
    assert files_in(out) == {**whole(FIRST), "notes.txt": b"mine"}
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


@pytest.mark.parametrize("step", range(len(whole(FIRST))))
def test_a_folder_that_was_not_there_is_gone_again_when_the_disk_refuses(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: int
) -> None:
    """The first run into a new folder leaves nothing behind either."""
    _refuse(monkeypatch, {step})
    with pytest.raises(DiskError):
        save(tmp_path / "out", whole(FIRST))
    assert list(tmp_path.iterdir()) == []


def test_files_that_can_not_be_put_back_are_kept_and_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Should the disk refuse the way back too, the message says where the files are, and they are there."""
    out = tmp_path / "out"
    save(out, whole(FIRST))
    first_in, first_back = len(whole(FIRST)), len(whole(FIRST)) + 1
    _refuse(monkeypatch, {first_in, first_back})
    with pytest.raises(DiskError, match="could not all be put back") as caught:
        save(out, whole(SECOND))
    kept = Path(str(caught.value).rsplit("are in ", 1)[1])
    before = {name: content for name, content in files_in(out).items() if not name.startswith(".")}
    assert {**before, **files_in(kept)} == whole(FIRST)
    assert len(files_in(kept)) == 1


def _refuse(monkeypatch: pytest.MonkeyPatch, steps: set[int]) -> None:
    real, count = os.replace, iter(range(10_000))

    def replace(source: Path, target: Path) -> None:
        if next(count) in steps:
            raise OSError(28, "No space left on device")
        real(source, target)

    monkeypatch.setattr(os, "replace", replace)


def test_a_disk_that_is_full_before_the_exchange_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Everything is written aside first, so that running out of room costs nothing."""
    out = tmp_path / "out"
    save(out, whole(FIRST))

    def refuse(path: Path, content: bytes) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", refuse)
    with pytest.raises(DiskError, match="No space left on device"):
        save(out, whole(SECOND))
    assert files_in(out) == whole(FIRST)


@pytest.fixture
def control_c() -> Iterator[None]:
    """Ctrl-C as a shell in front of somebody has it: started in the background, a process ignores it."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.mark.usefixtures("control_c")
@pytest.mark.parametrize("step", range(STEPS))
def test_control_c_during_the_exchange_leaves_a_whole_set(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: int
) -> None:
    """The signal waits until every file is in its place, then stops the program."""
    out = tmp_path / "out"
    save(out, whole(FIRST))
    real, count = os.replace, iter(range(10_000))

    def replace(source: Path, target: Path) -> None:
        if next(count) == step:
            signal.raise_signal(signal.SIGINT)
        real(source, target)

    monkeypatch.setattr(os, "replace", replace)
    with pytest.raises(KeyboardInterrupt):
        save(out, whole(SECOND))
    assert files_in(out) == whole(SECOND)
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_files_are_saved_from_a_second_thread_too(tmp_path: Path) -> None:
    """Signals are the main thread's business; a page in the browser saves from another."""
    thread = threading.Thread(target=save, args=(tmp_path / "out", whole(FIRST)))
    thread.start()
    thread.join()
    assert files_in(tmp_path / "out") == whole(FIRST)
