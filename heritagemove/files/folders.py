"""A folder of files that appears whole, or takes another's place whole.

It is built beside, under a name that says so; the old folder then moves to ``.previous`` and the new one into its place.
A process that is killed on the way leaves the old folder, or the new one whole under its waiting name: the next start
brings that into place, and removes what was not finished.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from heritagemove.files.saving import NotSaved, clean, fault_in_words, free_name, locked, new_file_mode, shortened

_WAITING = ".waiting"


def write_folder(place: Path, files: Mapping[str, bytes]) -> None:
    """Write files into a folder, whole or not at all; what else it holds stays, and the old folder is kept beside it.

    Parameters
    ----------
    place : Path
        The folder above it must exist. A folder of this name is kept as ``.previous``, ``.previous.2``, ...
    files : mapping of str to bytes
        Content by file name.

    Raises
    ------
    NotSaved
        If the disk is full or the folder above cannot be written; the old folder stays as it was.
    """
    place = Path(os.path.realpath(place))
    try:
        with locked(place.parent):
            _settle(place)
            clean(place)
            _swap(place, _built(place, files))
    except shutil.Error as error:
        first = Path(error.args[0][0][0]).name
        raise NotSaved(f"{place.name} was not saved: {first} cannot be copied; what it held before is unchanged") from error
    except OSError as error:
        state = "what it held before is unchanged" if place.exists() else "nothing was written"
        raise NotSaved(f"{shortened(place.name)} was not saved: {fault_in_words(error, place.parent)}; {state}") from error


def settle(place: Path) -> None:
    """Finish what a killed process began for a folder, and remove what it left; nothing where that may not be written."""
    place = Path(os.path.realpath(place))
    try:
        # Looked for before anything is locked: nearly always nothing is there.
        if any(entry.name.startswith(f".{place.name}.") for entry in os.scandir(place.parent)):
            with locked(place.parent):
                _settle(place)
    except OSError:
        return


def _settle(place: Path) -> None:
    waiting = _waiting(place)
    if waiting.is_dir():
        if place.exists():
            shutil.rmtree(waiting)
        else:
            os.rename(waiting, place)
    for entry in list(os.scandir(place.parent)):
        unfinished = entry.name.startswith(f".{place.name}.") and entry.name.endswith(".part")
        if unfinished and entry.is_dir(follow_symlinks=False):
            shutil.rmtree(entry.path)


def _waiting(place: Path) -> Path:
    return place.with_name(f".{place.name}{_WAITING}")


def _built(place: Path, files: Mapping[str, bytes]) -> Path:
    building = Path(tempfile.mkdtemp(dir=place.parent, prefix=f".{place.name}.", suffix=".part"))
    try:
        if place.is_dir():
            # Photographs, papers and scenarios of the old folder belong to the new one as well.
            shutil.copytree(place, building, symlinks=True, dirs_exist_ok=True)
            shutil.copymode(place, building)
        else:
            building.chmod(new_file_mode() | 0o111)
        for name, data in files.items():
            with open(building / name, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
    except BaseException:
        shutil.rmtree(building, ignore_errors=True)
        raise
    return building


def _swap(place: Path, building: Path) -> None:
    if not place.exists() or not any(place.iterdir()):
        os.replace(building, place)
        return
    waiting, previous = _waiting(place), free_name(place)
    os.rename(building, waiting)
    os.rename(place, previous)
    try:
        os.rename(waiting, place)
    except OSError:
        os.rename(previous, place)
        raise
