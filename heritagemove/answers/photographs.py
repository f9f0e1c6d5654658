"""Which photographs the survey names: of what, on which day, and which of them are not there."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from heritagemove.files.photographs import SmallPicture, small_picture
from heritagemove.files.xlsx_tables import is_workbook
from heritagemove.museum.museum import Museum
from heritagemove.units.units import PlannerError
from heritagemove.units.words import show_date

#: Places that stand for the whole unit, and for the site.
_WHOLE = {"vehicle": "The unit", "site": "The site"}


@dataclass(frozen=True)
class Photograph:
    """One photograph with what it was taken for."""

    name: str  # of the file, in the museum's folder
    file: Path
    places: tuple[str, ...]  # the unit, the site, or boxes such as 1L
    seen: tuple[str, ...]  # what was found, in words
    on: dt.date  # the last day on which it was looked at

    @property
    def whole(self) -> bool:
        """Whether it shows the unit and not a part of it."""
        return _WHOLE["vehicle"] in self.places

    @property
    def caption(self) -> str:
        """What it shows and when, in a line."""
        of = self.places[0] if len(self.places) == 1 else f"{', '.join(self.places[:-1])} and {self.places[-1]}"
        return f"{of}: {'; '.join(self.seen)} ({show_date(self.on)})"

    def small(self, widest: int = 640, most_bytes: int = 40_000) -> SmallPicture:
        """Return it as it is shown; parameters and errors as for :func:`heritagemove.files.photographs.small_picture`."""
        return small_picture(self.file, widest, most_bytes)


def photographs_of(museum: Museum, vehicle: str) -> tuple[Photograph, ...]:
    """Return the photographs that the survey names of a unit, those of the whole unit first, each once."""
    rows: dict[str, list[Any]] = {}
    for row in museum.survey:
        if row.vehicle == vehicle and row.photo:
            rows.setdefault(row.photo, []).append(row)
    found = [_photograph(museum, name, seen) for name, seen in rows.items()]
    return tuple(sorted(found, key=lambda photograph: not photograph.whole))


def _photograph(museum: Museum, name: str, rows: list[Any]) -> Photograph:
    places = tuple(dict.fromkeys(_WHOLE.get(row.place, f"box {row.place}") for row in rows))
    seen = tuple(dict.fromkeys(f"{row.clue.replace('_', ' ')} {row.found}" for row in rows))
    return Photograph(name, _folder(museum) / name, places, seen, max(row.observed for row in rows))


def _folder(museum: Museum) -> Path:
    place = Path(museum.folder)
    return place.parent if is_workbook(place) else place


def unreadable_photographs(museum: Museum) -> tuple[str, ...]:
    """Return each photograph that the survey names and that cannot be shown, with its rows of survey.csv and why."""
    rows: dict[str, list[int]] = {}
    for row in museum.survey:
        if row.photo:
            rows.setdefault(row.photo, []).append(row.row_number)
    told = []
    for name, numbers in rows.items():
        try:
            small_picture(_folder(museum) / name, 64)
        except PlannerError as error:
            told.append(f"survey.csv, row{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}, {error}")
    return tuple(told)
