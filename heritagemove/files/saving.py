"""Save a file whole or not at all, and never over somebody else's change.

A save takes the folder's lock, writes a temporary file beside the old one, flushes it to the disk
and puts it in the old one's place. A process that is killed on the way leaves the old file as it
was, and a temporary file that the next save or load of the folder removes.

Several files of a folder that belong together are saved together: what is to be done is written
down first, so that whoever comes next finishes what a killed process began.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import re
import shutil
import tempfile
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows has no such lock: there, two writers in the same millisecond are not told apart.
    fcntl = None  # type: ignore[assignment]

#: Suffix of the copy that is kept of what a file held before.
PREVIOUS = ".previous"
#: Suffix of what a killed process had ready for a file that somebody else has written since.
UNSAVED = ".unsaved"
#: What is about to be done to several files of a folder.
_INTENT = ".heritagemove.intent"
_TEMPORARY = re.compile(r"\..+\.[a-z0-9_]{8}\.part")


class NotSaved(OSError):
    """A file could not be saved; what it held before is unchanged."""

    def _render_traceback_(self) -> list[str]:
        """Show the message alone (IPython's hook)."""
        return [str(self)]


class Changed(NotSaved):
    """Somebody else has written the file since it was read; nothing was overwritten."""


def fingerprint(path: str | Path) -> str | None:
    """Return a short digest of a file's bytes as they are now, or None where there is no file."""
    try:
        return hashlib.sha256(Path(path).read_bytes()).hexdigest()
    except FileNotFoundError:
        return None


def save(path: str | Path, content: str | bytes, expected: str | None = "", keep_previous: bool = False) -> str:
    """Write a file whole: a temporary file in the same folder, flushed to disk, takes its place.

    Parameters
    ----------
    path : str or Path
    content : str or bytes
        Text is written as UTF-8.
    expected : str or None
        Fingerprint of what the caller read; None says that no file was there. Left out, nothing is compared.
    keep_previous : bool
        Keep what the file held before beside it, with the suffix ``.previous``.

    Returns
    -------
    str
        Fingerprint of the file as written.

    Raises
    ------
    Changed
        If the file is not as it was read.
    NotSaved
        If the disk is full or the folder cannot be written; the old file stays as it was.
    """
    path = Path(path)
    data = content.encode() if isinstance(content, str) else content
    with _told(path), locked(path.parent):
        _tidy(path.parent)
        _refuse_changed(path, expected)
        if keep_previous and path.exists():
            _put(path.with_name(path.name + PREVIOUS), path.read_bytes(), _mode(path))
        _put(path, data, _mode(path))
    return hashlib.sha256(data).hexdigest()


def save_all(files: Mapping[Path, str | bytes]) -> None:
    """Write several files, in any folders, or none: each waits beside its place until all are on the disk.

    Raises
    ------
    NotSaved
        If one of them cannot be written; then none is.
    """
    waiting: dict[Path, str] = {}
    try:
        for path, content in files.items():
            with _told(path):
                waiting[path] = _staged(path, content.encode() if isinstance(content, str) else content, _mode(path))
        for path in files:
            with _told(path):
                os.replace(waiting[path], path)
                del waiting[path]
                _flush_folder(path.parent)
    finally:
        for temporary in waiting.values():
            Path(temporary).unlink(missing_ok=True)


#: Content of a file: its bytes, or what makes them of the bytes that are there when the folder is ours.
Content = bytes | Callable[[bytes], bytes]


def save_together(
    folder: Path, files: Mapping[str, Content], expected: Mapping[str, str | None], keep_previous: bool = False
) -> dict[str, str]:
    """Save several files of one folder as one: after a kill at any moment the next start finds all old or makes all new.

    Parameters
    ----------
    folder : Path
    files : mapping of str to bytes or callable
        Content by file name; a callable is given what the file holds (nothing where there is none).
    expected : mapping of str to str or None
        Fingerprints of what the caller read, of those files where that matters.
    keep_previous : bool
        Keep what each file held before beside it, with the suffix ``.previous``.

    Returns
    -------
    dict of str to str
        Fingerprints of the files as written.

    Raises
    ------
    Changed
        If a file is not as it was read; then nothing is written.
    NotSaved
        If the disk is full or the folder cannot be written; then nothing is written.
    """
    steps: list[dict[str, str | None]] = []
    held: dict[str, bytes | None] = {}
    with _told(folder / next(iter(files))), locked(folder):
        _tidy(folder)
        for name, read in expected.items():
            _refuse_changed(folder / name, read)
        try:
            for name, content in files.items():
                path = folder / name
                held[name] = path.read_bytes() if path.exists() else None
                before = held[name] or b""
                data = content(before) if callable(content) else content
                temporary = Path(_staged(path, data, _mode(path))).name
                steps.append({"file": name, "temporary": temporary, "before": fingerprint(path),
                              "after": hashlib.sha256(data).hexdigest()})  # fmt: skip
                if keep_previous and path.exists():
                    _put(path.with_name(name + PREVIOUS), before, _mode(path))
            _put(folder / _INTENT, json.dumps(steps).encode(), 0o600)
        except BaseException:
            for step in steps:
                (folder / str(step["temporary"])).unlink(missing_ok=True)
            raise
        try:
            _finish(folder)
        except OSError:
            _put_back(folder, steps, held)
            raise
    return {str(step["file"]): str(step["after"]) for step in steps}


def _put_back(folder: Path, steps: list[dict[str, str | None]], held: Mapping[str, bytes | None]) -> None:
    """Undo what of a save was done when one of its files could not be replaced: Windows holds those open elsewhere."""
    (folder / _INTENT).unlink(missing_ok=True)
    for step in steps:
        name = str(step["file"])
        path, before = folder / name, held[name]
        (folder / str(step["temporary"])).unlink(missing_ok=True)
        if fingerprint(path) != step["after"]:
            continue
        if before is None:
            path.unlink()
        else:
            _put(path, before, _mode(path))


def _refuse_changed(path: Path, expected: str | None) -> None:
    if expected != "" and fingerprint(path) != expected:
        raise Changed(f"{path.name} was changed by somebody else since it was read; nothing was overwritten")


def _finish(folder: Path) -> None:
    """Do what is written down and still to be done, file by file, but never over what somebody else wrote meanwhile."""
    note = folder / _INTENT
    steps = _written_down(note)
    held = [fingerprint(folder / step["file"]) for step in steps]
    begun = any(now == step["after"] for now, step in zip(held, steps, strict=True))
    others = any(now not in (step["before"], step["after"]) for now, step in zip(held, steps, strict=True))
    for now, step in zip(held, steps, strict=True):
        path, ready = folder / step["file"], folder / step["temporary"]
        if not ready.exists() or (others and not begun):
            continue
        if now == step["before"]:
            os.replace(ready, path)
        elif now != step["after"]:
            os.replace(ready, free_name(path, UNSAVED))
    note.unlink(missing_ok=True)
    _flush_folder(folder)


def _written_down(note: Path) -> list[dict[str, str | None]]:
    """Return the steps of a note; a museum may come from anybody, so only names that a save makes are taken."""
    try:
        names = ("file", "temporary", "before", "after")
        steps = [{key: step[key] for key in names} for step in json.loads(note.read_bytes())]
        plain = all(
            re.fullmatch(r"[^/\\:]+", step["file"]) and _TEMPORARY.fullmatch(step["temporary"]) and step["file"] != ".."
            for step in steps
        )
    except (FileNotFoundError, ValueError, TypeError, KeyError, RecursionError):
        return []
    return steps if plain else []


def free_name(path: Path, suffix: str = PREVIOUS) -> Path:
    """Return the first of ``x.previous``, ``x.previous.2``, ... that is not there yet, so that no version is lost."""
    names = (path.with_name(f"{path.name}{suffix}" + (f".{number}" if number > 1 else "")) for number in range(1, 10_000))
    return next(name for name in names if not os.path.lexists(name))


def clean(folder: str | Path) -> int:
    """Remove the temporary files that killed processes left in a folder.

    Returns
    -------
    int
        Number of files removed; 0 where the folder cannot be written.
    """
    try:
        with locked(Path(folder)):
            return _tidy(Path(folder))
    except OSError:
        return 0


@contextlib.contextmanager
def _told(path: Path) -> Iterator[None]:
    """Say of a system's error what was not saved, why, and what is there now."""
    try:
        yield
    except NotSaved:
        raise
    except OSError as error:
        state = "what it held before is unchanged" if os.path.lexists(path) else "nothing was written"
        raise NotSaved(f"{shortened(path.name)} was not saved: {fault_in_words(error, path.parent)}; {state}") from error


@contextlib.contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the folder's lock; the system gives it back when the process ends, however it ends."""
    if fcntl is None:
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def _tidy(folder: Path) -> int:
    """Finish what a killed process began, then remove its temporary files.

    Whoever holds the lock knows that no living process is writing one.
    """
    if (folder / _INTENT).exists():
        _finish(folder)
    removed = 0
    for entry in list(os.scandir(folder)):
        if not _TEMPORARY.fullmatch(entry.name):
            continue
        if entry.is_dir(follow_symlinks=False):
            shutil.rmtree(entry.path)
        else:
            os.unlink(entry.path)
        removed += 1
    return removed


def _put(path: Path, data: bytes, mode: int) -> None:
    temporary = _staged(path, data, mode)
    try:
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    _flush_folder(path.parent)


def _staged(path: Path, data: bytes, mode: int) -> str:
    """Return the name of a temporary file beside a place, with its content on the disk."""
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, mode)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    return temporary


def _flush_folder(folder: Path) -> None:
    """Bring the new name to the disk; a system that cannot open a folder does so by itself."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _mode(path: Path) -> int:
    """A temporary file is private: give the new file the rights of the old one, or those of any new file."""
    return path.stat().st_mode & 0o777 if path.exists() else new_file_mode()


def new_file_mode() -> int:
    """Return the rights that this system gives a new file."""
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def shortened(name: str) -> str:
    """Return a name that fits into a sentence."""
    return name if len(name) <= 60 else name[:57] + "..."


def fault_in_words(error: OSError, folder: Path | str = "") -> str:
    """Return in a planner's words what the system says, never its own text with a number in front."""
    where = f"the folder {folder}" if folder else "the place"
    if getattr(error, "winerror", None) in (5, 32, 33):  # so Windows refuses a file that is in use
        return f"another program, such as a spreadsheet, holds it open, or {where} may not be written by you"
    reasons = {
        errno.ENOSPC: "the disk is full",
        errno.EDQUOT: "your share of the disk is full",
        errno.EFBIG: "the file is larger than this system allows",
        errno.EROFS: f"{where} can only be read",
        errno.EACCES: f"{where} may not be written by you",
        errno.EPERM: f"{where} may not be written by you",
        errno.ENOENT: f"there is no folder {folder}" if folder else "it is not there",
        errno.ENOTDIR: f"{folder} is a file, not a folder" if folder else "a file stands where a folder is expected",
        errno.ENAMETOOLONG: "its name is too long for this system",
        errno.EISDIR: "a folder has this name",
    }
    return reasons.get(error.errno or 0, error.strerror or str(error))
