"""Named scenarios: inputs saved to a file under a name, loaded as saved or not at all."""

from __future__ import annotations

import dataclasses
import hashlib
import json
import re
import unicodedata
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from heritagemove.compare.dry_run import explained
from heritagemove.compare.inputs import Inputs, answer, as_set, input_problems
from heritagemove.compare.results import Comparison
from heritagemove.files import saving
from heritagemove.museum.drivers import read_settings
from heritagemove.museum.museum import Museum
from heritagemove.trials import simulation
from heritagemove.trials.simulation import Samples
from heritagemove.units import units

_FORMAT = "heritagemove scenario 1"
#: A scenario is a dozen lines; a file far larger is none of ours.
_LARGEST_BYTES = 100_000
_LONGEST_NAME = 80


@dataclass(frozen=True)
class SavedScenario:
    """Inputs under a name."""

    name: str
    inputs: Inputs
    note: str = ""  # what to know on loading, such as that the tables have changed since; blank where there is nothing


def file_name(name: str) -> str:
    """Return a safe file name for a scenario: what of its name any system takes, and a digest of all of it.

    Examples
    --------
    >>> file_name("Crane stands idle; 6 h")
    'crane-stands-idle-6-h-538b0d34.json'
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    slug = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40].strip("-")
    digest = hashlib.sha256(name.encode()).hexdigest()[:8]
    return f"{slug or 'scenario'}-{digest}.json"


def save_scenario(folder: str | Path, name: str, museum: Museum, inputs: Inputs) -> Path:
    """Save inputs under a name; the same name again replaces what it held.

    Returns
    -------
    Path

    Raises
    ------
    ValueError
        If the name is blank, longer than 80 characters or has a line break.
    OSError
        If the file cannot be written.
    """
    name = _checked_name(name)
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    content = {
        "format": _FORMAT,
        "name": name,
        "museum": museum.scenario.name,
        "tables": museum.digest(),
        "inputs": dataclasses.asdict(inputs),
    }
    path = folder / file_name(name)
    saving.save(path, json.dumps(content, indent=2, ensure_ascii=False) + "\n")
    return path


def load_scenario(path: str | Path, museum: Museum) -> SavedScenario:
    """Load a scenario and check it against a museum's tables.

    Raises
    ------
    ValueError
        With the file and everything in it that is not allowed; nothing is changed to fit.
    """
    path = Path(path)
    content = _read(path)
    given = content.get("inputs")
    names = {entry.name for entry in dataclasses.fields(Inputs)}
    if not isinstance(given, dict) or not set(given) <= names or not isinstance(given.get("vehicle"), str):
        found = ", ".join(sorted(map(str, given))) if isinstance(given, dict) else "no inputs"
        raise units.PlannerError(f"{path.name}, inputs: found {found}; allowed: {', '.join(sorted(names))}")
    inputs = Inputs(**given)
    problems = input_problems(museum, inputs)
    if problems:
        raise units.PlannerError("\n".join(f"{path.name}, {problem}" for problem in problems))
    changed = content.get("tables") != museum.digest()
    note = "The tables have changed since it was saved: the answer may be another one." if changed else ""
    # As the drivers read them: whole numbers come out of JSON as integers.
    inputs = dataclasses.replace(inputs, settings=read_settings(inputs.settings))
    return SavedScenario(_checked_name(str(content["name"])), inputs, note)


def saved_scenarios(folder: str | Path) -> tuple[tuple[str, Path], ...]:
    """Return name and file of each scenario of a folder, by name; a file that is none goes by its file name."""
    folder, found = Path(folder), []
    for path in sorted(folder.glob("*.json")) if folder.is_dir() else ():
        try:
            found.append((_checked_name(str(_read(path)["name"])), path))
        except (ValueError, OSError):
            found.append((f"{path.name} (cannot be read)", path))
    return tuple(sorted(found))


def saved_answers(folder: str | Path, museum: Museum, vehicle: str, samples: Samples) -> dict[str, Comparison]:
    """Return the answer of each scenario of one unit that a folder holds, by name.

    Raises
    ------
    ValueError
        If a file cannot be read, or asks for what is not allowed.
    """
    found = {}
    for _, path in saved_scenarios(folder):
        scenario = load_scenario(path, museum)
        if scenario.inputs.vehicle == vehicle:
            there = as_set(museum, scenario.inputs)
            try:
                found[scenario.name] = answer(there, scenario.inputs, simulation.draw(there, previous=samples))
            except Exception as error:
                reason = explained(there, vehicle, scenario.inputs.settings, error)
                raise units.PlannerError(f"{path.name}, {reason}") from error
    return found


def _checked_name(name: str) -> str:
    name = name.strip()
    if not 0 < len(name) <= _LONGEST_NAME or not name.isprintable():
        allowed = f"1 to {_LONGEST_NAME} characters on one line"
        raise units.PlannerError(f'name: found "{name[:_LONGEST_NAME]}"; allowed: {allowed}')
    return name


def _read(path: Path) -> dict[str, Any]:
    allowed = "a scenario saved by this program"
    if path.stat().st_size > _LARGEST_BYTES:
        raise units.PlannerError(f"{path.name}: found {path.stat().st_size:,} bytes; allowed: {allowed}")
    try:
        content = json.loads(path.read_bytes())
    except (ValueError, RecursionError) as error:
        raise units.PlannerError(f"{path.name}: found no JSON ({error}); allowed: {allowed}") from error
    if not isinstance(content, dict) or content.get("format") != _FORMAT or "name" not in content:
        raise units.PlannerError(f'{path.name}: found no "format": "{_FORMAT}"; allowed: {allowed}')
    return content
