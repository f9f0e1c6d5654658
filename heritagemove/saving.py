"""Save a file whole or not at all, and never over somebody else's change."""

from __future__ import annotations

import hashlib
import os
import tempfile
from pathlib import Path

#: Suffix of the copy that is kept of what a file held before.
PREVIOUS = ".previous"


class Changed(OSError):
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
    OSError
        If the folder cannot be written; the old file stays as it was.
    """
    path = Path(path)
    data = content.encode() if isinstance(content, str) else content
    if expected != "" and fingerprint(path) != expected:
        raise Changed(f"{path.name} was changed by somebody else since it was read; nothing was overwritten")
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, _mode(path))
        if keep_previous and path.exists():
            os.replace(_copy(path), path.with_name(path.name + PREVIOUS))
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    return hashlib.sha256(data).hexdigest()


def _mode(path: Path) -> int:
    """A temporary file is private: give the new file the rights of the old one, or those of any new file."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _copy(path: Path) -> str:
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    with os.fdopen(handle, "wb") as file:
        file.write(path.read_bytes())
    os.chmod(temporary, _mode(path))
    return temporary
