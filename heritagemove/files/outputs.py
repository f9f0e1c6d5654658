"""Where an output may be written: every place is tested before work begins, and no input is among them."""

from __future__ import annotations

import contextlib
import errno
import os
import tempfile
import unicodedata
from collections.abc import Iterable, Mapping
from pathlib import Path

from heritagemove.files.names import reserved
from heritagemove.files.saving import fault_in_words
from heritagemove.units.units import PlannerError


def refuse_places(
    outputs: Mapping[str, str | Path],
    inputs: Iterable[Path] = (),
    replace: bool = False,
    endings: Mapping[str, str] | None = None,
) -> None:
    """Refuse places that an output cannot be written to, all at once.

    Parameters
    ----------
    outputs : mapping of str to path
        Place by the name of its option.
    inputs : iterable of Path
        Files that are read: no output takes the place of one, by any spelling, link or case.
    replace : bool
        Whether what stands there may be replaced.
    endings : mapping of str to str, optional
        How the name must end, by option.

    Raises
    ------
    PlannerError
        With one line for each place that will not do.
    """
    inputs, taken, problems = list(inputs), [], []
    for option, place in outputs.items():
        path = Path(place)
        ending = (endings or {}).get(option, "")
        wrong = _wrong_name(path, ending, inputs) or _unwritable(path, replace)
        if not wrong and any(_same(path, other) for other in taken):
            wrong = "one file twice; allowed: a file of its own for each"
        taken.append(path)
        if wrong:
            shown = str(place) if len(str(place)) <= 200 else str(place)[:197] + "..."
            problems.append(f'{option}: found "{shown}", {wrong}')
    if problems:
        raise PlannerError("\n".join(problems))


def _wrong_name(path: Path, ending: str, inputs: Iterable[Path]) -> str:
    if not path.name.lower().endswith(ending):
        return f"which ends otherwise; allowed: a name that ends in {ending}"
    if reserved(path.name):
        return "a name that Windows refuses; allowed: one without < > : \" | ? * and none of con, prn, aux, nul, com1, lpt1"
    for file in inputs:
        if _same(path, file):
            return f"which is {file.name} of the museum that is read; allowed: a file that is no part of the museum"
    return ""


def _same(one: Path, other: Path) -> bool:
    with contextlib.suppress(OSError):  # one of them is not there yet
        if os.path.samefile(one, other):
            return True
    return _spelled(one) == _spelled(other)


def _spelled(path: Path) -> str:
    """Return one spelling for all that some system takes for the same name."""
    return unicodedata.normalize("NFC", os.path.realpath(path)).casefold()


def _unwritable(path: Path, replace: bool) -> str:
    """Return why nothing can be written there; the folder is asked by a file that is removed at once."""
    parent = path.parent
    if not os.path.isdir(parent):
        found = "whose folder is a file" if os.path.isfile(parent) else "whose folder is not there"
        return f"{found}; allowed: a file in a folder that exists"
    if os.path.isdir(path):
        return "which is a folder; allowed: a file"
    if os.path.exists(path) and not os.path.isfile(path):
        return "which is a device; allowed: an ordinary file"
    if os.path.lexists(path) and not replace:
        return "which exists; allowed: a new file, or replace it (--replace)"
    try:
        handle, temporary = tempfile.mkstemp(dir=parent, prefix=f".{path.name}.", suffix=".part")
        os.close(handle)
        os.unlink(temporary)
    except OSError as error:
        # The folder is there, as was just seen: a system without room for a new name says otherwise of /proc.
        gone = error.errno == errno.ENOENT
        reason = f"the folder {parent} may not be written by you" if gone else fault_in_words(error, parent)
        return f"which cannot be written: {reason}; allowed: a place that can be written"
    return ""
