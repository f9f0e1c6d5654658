"""Save a file whole or not at all, and never over somebody else's change.

A save takes the folder's lock, writes a temporary file beside the old one, flushes it to the disk
and puts it in the old one's place. A process that is killed on the way leaves the old file as it
was, and a temporary file that the next save or load of the folder removes.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import re
import tempfile
from collections.abc import Iterator
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows has no such lock: there, two writers in the same millisecond are not told apart.
    fcntl = None  # type: ignore[assignment]

#: Suffix of the copy that is kept of what a file held before.
PREVIOUS = ".previous"
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
    try:
        with _locked(path.parent):
            if expected != "" and fingerprint(path) != expected:
                raise Changed(f"{path.name} was changed by somebody else since it was read; nothing was overwritten")
            _remove_temporary(path.parent)
            if keep_previous and path.exists():
                _put(path.with_name(path.name + PREVIOUS), path.read_bytes(), _mode(path))
            _put(path, data, _mode(path))
    except NotSaved:
        raise
    except OSError as error:
        state = "what it held before is unchanged" if path.exists() else "nothing was written"
        raise NotSaved(f"{path.name} was not saved: {_reason(error, path)}; {state}") from error
    return hashlib.sha256(data).hexdigest()


def clean(folder: str | Path) -> int:
    """Remove the temporary files that killed processes left in a folder.

    Returns
    -------
    int
        Number of files removed; 0 where the folder cannot be written.
    """
    try:
        with _locked(Path(folder)):
            return _remove_temporary(Path(folder))
    except OSError:
        return 0


@contextlib.contextmanager
def _locked(folder: Path) -> Iterator[None]:
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


def _remove_temporary(folder: Path) -> int:
    """Remove temporary files; whoever holds the lock knows that no living process is writing one."""
    removed = 0
    for entry in os.scandir(folder):
        if _TEMPORARY.fullmatch(entry.name) and not entry.is_dir(follow_symlinks=False):
            os.unlink(entry.path)
            removed += 1
    return removed


def _put(path: Path, data: bytes, mode: int) -> None:
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, mode)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    _flush_folder(path.parent)


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
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _reason(error: OSError, path: Path) -> str:
    reasons = {
        errno.ENOSPC: "the disk is full",
        errno.EDQUOT: "your share of the disk is full",
        errno.EFBIG: "the file is larger than this system allows",
        errno.EROFS: f"the folder {path.parent} can only be read",
        errno.EACCES: f"the folder {path.parent} may not be written by you",
        errno.EPERM: f"the folder {path.parent} may not be written by you",
        errno.ENOENT: f"there is no folder {path.parent}",
        errno.ENAMETOOLONG: "its name is too long for this system",
        errno.EISDIR: "a folder has this name",
    }
    return reasons.get(error.errno or 0, error.strerror or str(error))
