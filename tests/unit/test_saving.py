"""Saving: the old file or the new one, whole, whatever happens on the way; and never over somebody else's change."""

import contextlib
import errno
import hashlib
import json
import os
import signal
import stat
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from heritagemove.files import saving
from heritagemove.files.folders import settle, write_folder
from heritagemove.files.saving import Changed, NotSaved, clean, fingerprint, save, save_all, save_together

KILLS = 500
POSIX = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that can fork")


def names(folder):
    return sorted(entry.name for entry in folder.iterdir())


def test_a_file_is_written_whole_and_its_fingerprint_returned(tmp_path):
    path = tmp_path / "rates.csv"
    assert save(path, "rate,price\ncafé,1\n") == fingerprint(path) == hashlib.sha256(path.read_bytes()).hexdigest()
    assert path.read_text(encoding="utf-8") == "rate,price\ncafé,1\n"
    assert names(tmp_path) == ["rates.csv"]


def test_what_it_held_before_is_kept_beside_it_when_asked(tmp_path):
    path = tmp_path / "rates.csv"
    save(path, "one", keep_previous=True)
    assert names(tmp_path) == ["rates.csv"]
    save(path, "two", keep_previous=True)
    save(path, "three", keep_previous=True)
    assert (path.read_text(), (tmp_path / "rates.csv.previous").read_text()) == ("three", "two")


def test_the_second_of_two_writers_is_told_and_nothing_is_overwritten(tmp_path):
    path = tmp_path / "rates.csv"
    read = save(path, "as both read it")
    save(path, "the first writer's", expected=read)
    with pytest.raises(Changed, match=r"rates.csv was changed by somebody else since it was read; nothing was overwritten"):
        save(path, "the second writer's", expected=read)
    assert path.read_text() == "the first writer's"


def test_a_file_that_appeared_or_went_away_is_a_change_too(tmp_path):
    path = tmp_path / "rates.csv"
    save(path, "somebody's")
    with pytest.raises(Changed):
        save(path, "mine", expected=None)
    read = fingerprint(path)
    path.unlink()
    with pytest.raises(Changed):
        save(path, "mine", expected=read)
    assert not path.exists()


@POSIX
def test_the_rights_of_a_file_stay_and_a_new_one_has_those_of_any_new_file(tmp_path):
    path = tmp_path / "rates.csv"
    (tmp_path / "other").touch()
    save(path, "one")
    assert stat.S_IMODE(path.stat().st_mode) == stat.S_IMODE((tmp_path / "other").stat().st_mode)
    path.chmod(0o640)
    save(path, "two")
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EROFS, "can only be read"),
        (errno.EACCES, "may not be written by you"),
        (errno.EIO, "Input/output error"),
    ],
)
@pytest.mark.parametrize("step", ["fsync", "replace", "chmod"])
def test_a_disk_that_fails_half_way_leaves_the_old_file_and_no_scraps(tmp_path, monkeypatch, code, words, step):
    def fail(*_, **__):
        raise OSError(code, os.strerror(code))

    path = tmp_path / "rates.csv"
    save(path, "old")
    with monkeypatch.context() as broken:
        broken.setattr(saving.os, step, fail)
        with pytest.raises(NotSaved) as caught:
            save(path, "new")
    assert str(caught.value).endswith("what it held before is unchanged")
    assert words in str(caught.value) and "rates.csv was not saved" in str(caught.value)
    assert (path.read_text(), names(tmp_path)) == ("old", ["rates.csv"])


def test_a_folder_that_may_only_be_read_gives_a_clear_message(tmp_path, monkeypatch):
    """The super-user may write anywhere, so the refusal is the system's own answer put in by hand."""
    path = tmp_path / "rates.csv"
    save(path, "old")

    def refuse(*_, **__):
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(tempfile, "mkstemp", refuse)
    with pytest.raises(NotSaved) as caught:
        save(path, "new", keep_previous=True)
    allowed = f"the folder {tmp_path} may not be written by you; what it held before is unchanged"
    assert str(caught.value) == f"rates.csv was not saved: {allowed}"
    assert path.read_text() == "old"


def test_a_folder_that_is_not_there_is_named(tmp_path):
    with pytest.raises(NotSaved, match=r"there is no folder .*nowhere; nothing was written"):
        save(tmp_path / "nowhere" / "rates.csv", "new")


@POSIX
def test_a_disk_with_room_for_half_the_file_leaves_the_old_one(tmp_path):
    """The system itself stops the write in the middle: a process that may write only 64 KiB a file."""
    import resource

    path = tmp_path / "rates.csv"
    save(path, "old")
    child = os.fork()
    if not child:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (65536, 65536))
        try:
            save(path, b"x" * 200_000)
        except NotSaved as error:
            os._exit(0 if "larger than this system allows" in str(error) else 1)
        os._exit(2)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0
    assert (path.read_text(), names(tmp_path)) == ("old", ["rates.csv"])


def killed(kind, folder, times):
    """The killing has a process of its own, small enough to be forked quickly."""
    script = Path(__file__).with_name("kill_writers.py")
    words = [sys.executable, script, kind, folder, str(times)]
    ran = subprocess.run(words, capture_output=True, text=True, timeout=300)
    assert ran.returncode == 0, ran.stderr
    found = json.loads(ran.stdout)
    assert (found["lost"], found["broken"], found["left"]) == (0, 0, 0), found
    assert found["saves"] > times / 2 and found["scraps"] > times / 20, "the kills did not fall into saves"
    return found


@POSIX
@pytest.mark.parametrize("kind", ["tables", "folder"])
def test_a_kill_leaves_tables_that_belong_together_all_old_or_all_new(tmp_path, kind):
    killed(kind, tmp_path, 30)


@pytest.mark.long
@POSIX
@pytest.mark.parametrize("kind", ["file", "tables", "folder"])
def test_a_writer_killed_at_any_moment_leaves_the_old_or_the_new_whole(tmp_path, capsys, kind):
    found = killed(kind, tmp_path, KILLS)
    with capsys.disabled():
        print(f"\nsaving ({kind}): killed {KILLS} times, {found['saves']:,} acknowledged saves, {found['lost']} lost, "
              f"{found['broken']} broken or mixed, {found['scraps']} scraps cleaned")  # fmt: skip


def _stopped_before(monkeypatch, folder, files, renames):
    """Save together and stop as a kill does, after so many files have taken their place."""
    real, done = os.replace, []

    def replace(source, target):
        if ".part" in str(source) and not str(target).endswith(".intent"):
            if len(done) == renames:
                raise KeyboardInterrupt
            done.append(target)
        real(source, target)

    with monkeypatch.context() as stopped:
        stopped.setattr(saving.os, "replace", replace)
        with pytest.raises(KeyboardInterrupt):
            save_together(folder, files, {})


@pytest.mark.parametrize("renames", [0, 1])
def test_the_next_start_finishes_what_was_written_down(tmp_path, monkeypatch, renames):
    save(tmp_path / "rates.csv", "old")
    save(tmp_path / "changes.csv", "one\n")
    _stopped_before(monkeypatch, tmp_path, {"rates.csv": b"new", "changes.csv": lambda log: log + b"two\n"}, renames)
    clean(tmp_path)
    assert ((tmp_path / "rates.csv").read_text(), (tmp_path / "changes.csv").read_text()) == ("new", "one\ntwo\n")
    assert names(tmp_path) == ["changes.csv", "rates.csv"]


def test_what_somebody_wrote_after_the_kill_is_not_overwritten_and_nothing_is_lost(tmp_path, monkeypatch):
    for renames in (0, 1):
        save(tmp_path / "rates.csv", "old")
        save(tmp_path / "changes.csv", "one\n")
        _stopped_before(monkeypatch, tmp_path, {"rates.csv": b"new", "changes.csv": lambda log: log + b"two\n"}, renames)
        (tmp_path / "changes.csv").write_text("one\nhers\n")
        clean(tmp_path)
        assert (tmp_path / "changes.csv").read_text() == "one\nhers\n"
        assert (tmp_path / "rates.csv").read_text() == ("new" if renames else "old")
        # A line that belongs to a table already written waits beside the log; where nothing was written nothing waits.
        kept = [name for name in names(tmp_path) if name.endswith(".unsaved")]
        assert kept == (["changes.csv.unsaved"] if renames else [])
    assert (tmp_path / "changes.csv.unsaved").read_text() == "one\ntwo\n"


@pytest.mark.parametrize(
    "note",
    ["", "{}", "[1]", "[" * 100_000, '[{"file": "../x", "temporary": ".a.abcdefgh.part", "before": null, "after": ""}]',
     '[{"file": "rates.csv", "temporary": "../secret", "before": null, "after": ""}]'],
)  # fmt: skip
def test_a_note_that_no_save_made_does_nothing(tmp_path, note):
    museum = tmp_path / "museum"
    museum.mkdir()
    (tmp_path / "secret").write_text("secret")
    (museum / ".a.abcdefgh.part").write_text("x")
    (museum / ".heritagemove.intent").write_text(note)
    clean(museum)
    assert names(museum) == [] and names(tmp_path) == ["museum", "secret"]


def test_several_files_are_written_or_none(tmp_path):
    files = {tmp_path / "a.html": "page", tmp_path / "none" / "b.json": b"twin"}
    with pytest.raises(NotSaved, match=r"b.json was not saved: there is no folder"):
        save_all(files)
    assert names(tmp_path) == []
    save_all({tmp_path / "a.html": "page", tmp_path / "b.json": b"twin"})
    assert names(tmp_path) == ["a.html", "b.json"]


def test_no_version_of_a_folder_is_lost_and_what_else_it_holds_stays(tmp_path):
    place = tmp_path / "museum"
    write_folder(place, {"rates.csv": b"1"})
    (place / "photos").mkdir()
    (place / "photos" / "box.jpg").write_bytes(b"box")
    for number in (b"2", b"3"):
        write_folder(place, {"rates.csv": number})
    assert names(tmp_path) == ["museum", "museum.previous", "museum.previous.2"]
    held = [(tmp_path / name / "rates.csv").read_bytes() for name in names(tmp_path)]
    assert held == [b"3", b"1", b"2"] and (place / "photos" / "box.jpg").read_bytes() == b"box"


def test_a_folder_stopped_at_any_step_is_old_or_new_after_the_next_start(tmp_path, monkeypatch):
    """Every system call that moves a folder is the last one in turn."""
    for step in range(4):
        place = tmp_path / str(step) / "museum"
        place.parent.mkdir()
        write_folder(place, {"rates.csv": b"old", "tasks.csv": b"old"})
        calls, real = [], os.rename

        def rename(source, target, calls=calls, real=real, step=step):
            calls.append(source)
            if len(calls) > step:
                raise KeyboardInterrupt
            real(source, target)

        with monkeypatch.context() as stopped, contextlib.suppress(KeyboardInterrupt):
            stopped.setattr("heritagemove.files.folders.os.rename", rename)
            write_folder(place, {"rates.csv": b"new", "tasks.csv": b"new"})
        settle(place)
        held = {(place / file).read_bytes() for file in ("rates.csv", "tasks.csv")}
        assert held == ({b"new"} if step >= 2 else {b"old"}), step
        assert not [name for name in names(place.parent) if name.startswith(".")]


@POSIX
def test_four_writers_at_once_lose_no_change(tmp_path):
    """Each adds one to what it read, and tries again when it is told of another's change."""
    path = tmp_path / "count"
    save(path, "0")
    children = []
    for _ in range(4):
        child = os.fork()
        if not child:
            for _ in range(15):
                while True:
                    data = path.read_bytes()
                    try:
                        save(path, str(int(data) + 1), expected=hashlib.sha256(data).hexdigest())
                        break
                    except Changed:
                        continue
            os._exit(0)
        children.append(child)
    assert [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children] == [0] * 4
    assert (path.read_text(), names(tmp_path)) == ("60", ["count"])


def test_cleaning_leaves_what_is_not_ours(tmp_path):
    ours = ".rates.csv.ab12_xyz.part"
    for name in (ours, "rates.csv.part", ".part", ".hidden", "rates.csv"):
        (tmp_path / name).touch()
    assert clean(tmp_path) == 1
    assert ours not in names(tmp_path) and len(names(tmp_path)) == 4
    assert clean(tmp_path / "nowhere") == 0
