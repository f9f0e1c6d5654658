"""Check a museum again each time a planner saves one of its files."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path

from heritagemove.files.saving import fault_in_words, shortened
from heritagemove.files.tables import TableProblems
from heritagemove.museum.museum import Museum, load_museum
from heritagemove.museum.slips import slips

#: How often the folder is looked at [s]; a planner sees the answer before she is back from the keyboard.
INTERVAL = 0.5


def state_of(place: Path) -> dict[str, tuple[int, int]]:
    """Return size [byte] and time of the last change [ns] of each file that a check of a museum reads."""
    state = {}
    for file in sorted(place.iterdir()) if place.is_dir() else [place]:
        # A spreadsheet puts a lock or a copy beside the file that is open.
        if file.suffix in (".csv", ".toml", ".xlsx") and not file.name.startswith((".", "~")):
            try:
                found = file.stat()
            except FileNotFoundError:
                continue
            state[file.name] = (found.st_size, found.st_mtime_ns)
    return state


def checks(
    place: str | Path, load: Callable[[Path], Museum] = load_museum, wait: Callable[[float], None] = time.sleep
) -> Iterator[tuple[tuple[str, ...], str]]:
    """Check a museum now and after each save, without end.

    A save is taken up when the folder has been still for one look, so that half a save is never read.

    Parameters
    ----------
    place : path
        A museum's folder or workbook.
    load : callable
        Loads the museum: as the tables are read, or with a dry run of every unit and path.
    wait : callable
        Called with the time until the next look [s].

    Yields
    ------
    tuple of (tuple of str, str)
        Names of the files that changed, none the first time; and the problems, or what looks like a slip, as one text;
        blank if there is neither.
    """
    path = Path(place)
    known = state_of(path)
    yield (), _problems(path, load)
    while True:
        wait(INTERVAL)
        now = state_of(path)
        if now == known:
            continue
        while True:
            wait(INTERVAL)
            later = state_of(path)
            if later == now:
                break
            now = later
        changed = tuple(name for name in sorted(set(now) | set(known)) if now.get(name) != known.get(name))
        known = now
        yield changed, _problems(path, load)


def _problems(path: Path, load: Callable[[Path], Museum]) -> str:
    try:
        looked_at = slips(load(path))
        return "\n".join(["No problems found.", *(f"  Look at: {line}" for line in looked_at)]) if looked_at else ""
    except TableProblems as error:
        return str(error)
    except OSError as error:  # a folder may be away for a moment while somebody moves it
        return f"{shortened(path.name)} could not be read: {fault_in_words(error)}."
