"""What notebooks remember of each other: the museums, the unit and what was set, in a small file beside them."""

from __future__ import annotations

import dataclasses
import json
import os
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from heritagemove.compare.inputs import Inputs, input_problems
from heritagemove.editing.starter import shipped
from heritagemove.files import saving
from heritagemove.files.xlsx_tables import is_workbook
from heritagemove.museum.drivers import read_settings
from heritagemove.museum.museum import Museum

FILE = "desk.json"
_FORMAT = "heritagemove desk 1"
_DEMO = "tamber_river"
#: A dozen museums; a list far longer was written by nobody.
_MOST_MUSEUMS = 12
#: Where museums stand, from the folder of the notebooks.
_PLACES = ("..", "../data", "../data/elsewhere", ".")


@dataclass(frozen=True)
class Remembered:
    """What the file holds; nothing where there is none."""

    museums: tuple[str, ...] = ()  # folders or workbooks, seen from the notebooks, the last used first
    inputs: dict[str, Any] = field(default_factory=dict)  # fields of Inputs that were set last in the first of them
    notebook: str = ""  # in which that was
    note: str = ""  # what was wrong with the file; blank where nothing was


def recall(folder: Path) -> Remembered:
    """Return what the file beside the notebooks holds; a damaged one holds nothing, and the note says so."""
    try:
        content = json.loads((folder / FILE).read_bytes())
    except FileNotFoundError:
        return Remembered()
    except (OSError, ValueError, RecursionError) as error:
        return Remembered(note=f"{FILE} cannot be read ({error}), so nothing is remembered.")
    fields = {entry.name: content.get(entry.name) for entry in dataclasses.fields(Inputs)} if _is_ours(content) else {}
    if not fields:
        return Remembered(note=f'{FILE} is not of the "{_FORMAT}" kind, so nothing is remembered.')
    set_then = {name: content["inputs"][name] for name in fields if name in content["inputs"]}
    return Remembered(tuple(content["museums"]), set_then, str(content.get("notebook", "")))


def _is_ours(content: Any) -> bool:
    if not isinstance(content, dict) or content.get("format") != _FORMAT:
        return False
    museums = content.get("museums")
    named = isinstance(museums, list) and all(isinstance(each, str) for each in museums)
    return named and isinstance(content.get("inputs"), dict)


def remember(folder: Path, museums: Iterable[str], inputs: Inputs, notebook: str) -> None:
    """Write the file, whole or not at all."""
    content = {
        "format": _FORMAT,
        "museums": list(dict.fromkeys(museums))[:_MOST_MUSEUMS],
        "inputs": dataclasses.asdict(inputs),
        "notebook": notebook,
    }
    saving.save(folder / FILE, json.dumps(content, indent=2, ensure_ascii=False) + "\n")


def inputs_of(remembered: Remembered, museum: Museum) -> Inputs | None:
    """Return what was set, as far as this museum still allows it; None where nothing was, or it is allowed no longer."""
    try:
        inputs = Inputs(**remembered.inputs)
        if input_problems(museum, inputs):
            return None
        # As the drivers read them: whole numbers come out of JSON as integers.
        inputs = dataclasses.replace(inputs, settings=read_settings(inputs.settings))
    except (TypeError, ValueError):
        return None
    return None if inputs == Inputs(inputs.vehicle) else inputs


def demo(folder: Path) -> str:
    """Return where the demo stands: beside the notebooks, or as it came with the package."""
    beside = folder / ".." / "data" / _DEMO
    return named_from(folder, beside if beside.is_dir() else shipped(_DEMO))


def found_museums(folder: Path, remembered: Iterable[str] = ()) -> tuple[str, ...]:
    """Return the museums there are, seen from the notebooks: the last used first, then the demo, then by name."""
    known = [name for name in remembered if is_museum(folder / name)]
    around = [each for place in _PLACES if (folder / place).is_dir() for each in sorted((folder / place).iterdir())]
    there = (named_from(folder, each) for each in around if each.is_dir() and is_museum(each))
    return tuple(dict.fromkeys([*known, demo(folder), *there]))


def is_museum(place: Path) -> bool:
    """Return whether a museum's tables stand there."""
    return (place / "museum.toml").is_file() or (is_workbook(place) and place.is_file())


def named_from(folder: Path, place: Path) -> str:
    """Return how a museum is written down: seen from the notebooks, or in full where it is on another drive."""
    try:
        return Path(os.path.relpath(place, folder)).as_posix()
    except ValueError:
        return place.resolve().as_posix()


def title_of(folder: Path, name: str) -> str:
    """Return a museum's name with its folder, for a list of them."""
    try:
        title = tomllib.loads((folder / name / "museum.toml").read_text(encoding="utf-8"))["name"]
    except (OSError, ValueError, KeyError):
        return name
    return f"{title} ({name})"
