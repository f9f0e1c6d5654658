"""What a blank cell typically holds: museums in which the blanks of one unit are filled from their typical ranges.

Nothing here is known. A path that is priced and dated over these museums stays unknown; its chance is provisional.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, get_args

import numpy as np

from heritagemove.museum.memo import Ask, Made, afresh
from heritagemove.museum.museum import Museum
from heritagemove.museum.rows import TABLES
from heritagemove.museum.rows.typical import MEASURED
from heritagemove.trials.needs import Work
from heritagemove.trials.sampling import Streams, pert_quantile
from heritagemove.units import units
from heritagemove.units.measures import show_measure
from heritagemove.units.units import Quantity, parse_journal_size

#: Museums that stand for the typical ranges, each in an equal share of the trials.
WORLDS = 8


@dataclass(frozen=True)
class Blank:
    """A blank cell with a typical range, or the same cell of all axles of a unit."""

    table: str
    rows: tuple[Any, ...]  # as they stand
    typical: Any  # row of typical.csv

    @property
    def title(self) -> str:
        """What is blank, in words."""
        what, row = self.typical.what.replace("_", " "), self.rows[0]
        if self.table == "axles":
            return f"{what} of axle{'s' * (len(self.rows) > 1)} {', '.join(str(each.axle) for each in self.rows)}"
        if self.table == "vehicles":
            return f"{what} of the unit"
        return f"{what} of {row.name if hasattr(row, 'name') else row.title}"

    @property
    def find(self) -> str:
        """How it is found out."""
        return f"measure it and put {self.typical.what.replace('_', ' ')} in {self.table}.csv"

    def range_in_words(self, museum: Museum, vehicle: str) -> str:
        """Return between which amounts it typically is."""
        low, high = (_amount(museum, vehicle, self, share) for share in (0.0, 1.0))
        if low is None:
            part = "an equal part of its" if self.table == "axles" else "its"
            return f"{self.typical.low:g} to {self.typical.high:g} of {part} {self.typical.share_of.replace('_', ' ')}"
        system = museum.scenario.units
        if isinstance(low, str):
            return f"{low} to {high} in"
        return " to ".join(show_measure(each, system) if hasattr(each, "units") else f"{each:g}" for each in (low, high))


def blanks(museum: Museum, vehicle: str) -> tuple[Blank, ...]:
    """Return the blank cells of a unit, and of the routes and places, that have a typical range."""
    unit = museum.vehicle(vehicle)
    found: dict[Any, Blank] = {}
    for table in MEASURED:
        typical = [row for row in museum.typical if row.table == table]
        for row in getattr(museum, table) if typical else ():
            if getattr(row, "vehicle", vehicle) != vehicle:
                continue
            named = (getattr(row, name) for name in ("mode", "rating", "kind") if hasattr(row, name))
            kinds = (unit.type, unit.kind) if table in ("vehicles", "axles") else (next(named),)
            theirs = _of_unit(typical, unit) if table == "pieces" else typical
            for what in dict.fromkeys(entry.what for entry in theirs if getattr(row, entry.what) is None):
                entry = _of_kind(theirs, what, *kinds)
                if entry:
                    name = (table, what) if table == "axles" else (table, what, row)
                    found[name] = Blank(table, (*(found[name].rows if name in found else ()), row), entry)
    return tuple(found.values())


def chance_met(museum: Museum, vehicle: str, gate: Any) -> float | None:
    """Return in how many of such cases a gate is met, or a task of the path mends what is found; None: nobody can say."""
    unit = museum.vehicle(vehicle)
    rows = [row for row in museum.readiness if row.subject in gate.rests_on and (not row.kinds or unit.kind in row.kinds)]
    clues = [row.clue for row in rows if row.clue and (not row.bearings or unit.bearing in row.bearings)]
    asked = [("survey", clue) for clue in (*gate.fact, *clues) if museum.fact(vehicle, clue) is None]
    asked = [("gates", gate.check)] if gate.check else asked
    tables = {table: [row for row in museum.typical if row.table == table] for table, _ in asked}
    typical = [_of_kind(tables[table], what, unit.type, unit.kind) for table, what in asked]
    if not typical or None in typical:
        return None
    unmet = 1 - math.prod(entry.met for entry in typical)
    return 1 - unmet * (gate.refusal_probability if gate.task and not gate.check else 1.0)


def _of_unit(typical: Sequence[Any], unit: Any) -> list[Any]:
    """Return what is typical of the pieces of one unit; a row of its type or kind stands last, and holds."""
    of = (None, unit.kind, unit.type)
    return sorted((row for row in typical if row.of_unit in of), key=lambda row: of.index(row.of_unit))


def _of_kind(typical: Sequence[Any], what: str | None, *kinds: str | None) -> Any:
    """Return what is typical of the first of some kinds that has a row, else of any."""
    rows = {row.kind: row for row in typical if row.what == what}
    return next((rows[kind] for kind in (*kinds, "any") if kind in rows), None)


def _amount(museum: Museum, vehicle: str, blank: Blank, share: float) -> Any:
    """Return what a blank holds at a cumulative share of its range; None where it is a share of something unknown."""
    row, allowed = blank.typical, TABLES[blank.table].columns[blank.typical.what].allowed
    number = float(pert_quantile(np.array(share), row.low, row.likely, row.high))
    if row.what == "journal":
        return _nearest_size(museum, number)
    if row.share_of is not None:
        whole = getattr(museum.vehicle(vehicle), row.share_of)
        if whole is None:
            return None
        parts = len(museum.axles_of(vehicle)) if blank.table == "axles" else 1
        amount = (whole * number / parts).to(allowed.unit)
    else:
        counted = int in get_args(TABLES[blank.table].model_fields[row.what].annotation)
        plain = round(number) if counted else number
        amount = units.in_unit(number, row.unit or "", allowed.unit) if allowed.unit else plain
    return _possible(museum, vehicle, blank, amount)


def _nearest_size(museum: Museum, inches: float) -> str | None:
    """Return the rated journal size whose diameter is nearest; None where no size is rated."""
    sizes = {row.journal: parse_journal_size(row.journal)[0] for row in museum.journal_ratings}
    return min(sizes, key=lambda size: abs(sizes[size] - inches), default=None)


def _possible(museum: Museum, vehicle: str, blank: Blank, amount: Any) -> Any:
    """Return an amount that does not contradict what is known: parts within the whole, axles between the couplers."""
    what, most = blank.typical.what, TABLES[blank.table].columns[blank.typical.what].at_most
    floors, ceilings = [], [getattr(row, most) for row in blank.rows if most]
    if (blank.table, what) == ("vehicles", "length"):
        floors = [row.position for row in museum.axles_of(vehicle)]
    if (blank.table, what) == ("vehicles", "weight"):
        floors = [sum((p.weight * p.count for p in museum.pieces_of(vehicle) if p.weight is not None), Quantity(0.0, "lb"))]
    amount = max([amount, *floors])
    return min([amount, *(each for each in ceilings if each is not None)])


def filled(museum: Museum, vehicle: str, wanted: Sequence[Blank], shares: Sequence[float]) -> Museum:
    """Return the museum with blanks filled, each at a cumulative share of its range.

    What is a share of another column is filled after it. A weight out of a range has no tolerance besides.
    """
    pairs = sorted(zip(wanted, shares, strict=True), key=lambda pair: pair[0].typical.share_of is not None)
    for blank, share in pairs:
        amount, rows = _amount(museum, vehicle, blank, share), getattr(museum, blank.table)
        cells = {blank.typical.what: amount}
        if (blank.table, blank.typical.what) == ("vehicles", "weight"):
            cells["weight_tolerance"] = Quantity(0.0, "percent")
        names = [name for name, each in TABLES[blank.table].columns.items() if each.key]
        keys = {tuple(getattr(row, name) for name in names) for row in blank.rows}
        hit = [tuple(getattr(row, name) for name in names) in keys for row in rows]
        changed = tuple(row.model_copy(update=cells) if it else row for row, it in zip(rows, hit, strict=True))
        museum = museum.with_rows(**{blank.table: changed})
    return museum


def in_the_middle(museum: Museum, vehicle: str) -> Museum:
    """Return the museum with every blank that has a typical range filled in its middle."""
    wanted = blanks(museum, vehicle)
    return filled(museum, vehicle, wanted, [0.5] * len(wanted))


def spread(seed: int, wanted: Sequence[Blank]) -> list[list[float]]:
    """Return the shares at which blanks are filled in each of the worlds: every blank evenly over its range."""
    streams = Streams(seed, WORLDS)
    columns = [
        (streams.generator(f"typical/{blank.table}/{blank.title}").permutation(WORLDS) + 0.5) / WORLDS for blank in wanted
    ]
    return np.array(columns).T.tolist() if columns else [[]]


def ends(wanted: Sequence[Blank]) -> list[list[float]]:
    """Return the shares of the ends: each blank lowest and highest with the others in the middle, and all together."""
    count = len(wanted)
    one = [[end if n == m else 0.5 for n in range(count)] for m in range(count) for end in (0.0, 1.0)]
    return one + ([[0.0] * count, [1.0] * count] if count > 1 else [])


def among(works: Sequence[Work], which: Made, unmet: Made | None, memo: Ask = afresh) -> Work:
    """Return what a path needs in every trial, each trial in one of several museums.

    Parameters
    ----------
    works : sequence of Work
        One a museum.
    which : Made of ndarray of int, shape (trials,)
        Number of the museum that each trial is in.
    unmet : Made of ndarray of bool, shape (trials,), optional
        Trials in which what is found stops the path.
    """
    given = {}
    for name in dict.fromkeys(name for work in works for name in work.given):
        values = tuple(work.given.get(name) for work in works)
        one = all(value == values[0] for value in values)
        given[name] = values[0] if one else None if None in values else memo(_of_world, which, values)
    first = works[0].equipment
    others: dict[frozenset[str], list[tuple[int, Any]]] = {}
    for number, work in enumerate(works):
        if work.equipment != first:
            others.setdefault(work.equipment, []).append((number, True))
        for equipment, trials in work.other_equipment:
            others.setdefault(equipment, []).append((number, work.known(trials)))
    heavy = tuple((number, work.known(work.too_heavy)) for number, work in enumerate(works) if work.too_heavy is not None)
    masks = tuple((equipment, memo(_in_worlds, which, tuple(parts))) for equipment, parts in others.items())
    heavier = memo(_in_worlds, which, heavy) if heavy else None
    return Work.of(given, first, masks, heavier, unmet, works[0].vehicle)


def _of_world(which: np.ndarray, values: Sequence[Any]) -> np.ndarray:
    return np.choose(which, np.broadcast_arrays(*values, which)[:-1])


def _in_worlds(which: np.ndarray, parts: Sequence[tuple[int, Any]]) -> np.ndarray:
    found = np.zeros(len(which), bool)
    for number, trials in parts:
        found |= (which == number) & trials
    return found


def world_of_each(seed: int, trials: int) -> np.ndarray:
    """Return the number of the world that each trial is in, of int, shape (trials,)."""
    return (Streams(seed, trials).shares("typical/world") * WORLDS).astype(int)


def found_unmet(
    seed: int, trials: int, which: np.ndarray, stopped: Sequence[int], asked: Sequence[tuple[str, float]]
) -> np.ndarray:
    """Return the trials in which what is found stops a path, of bool, shape (trials,).

    Parameters
    ----------
    stopped : sequence of int
        Worlds in which a hard stop fails.
    asked : sequence of (str, float)
        What else is unknown, and in how many of such cases it is met; the same thing is met or not on every path.
    """
    streams, found = Streams(seed, trials), np.isin(which, stopped)
    for name, met in asked:
        found |= streams.shares(f"typical/{name}") >= met
    return found
