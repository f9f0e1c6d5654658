"""A museum that begins with a colleague's prices and rules, or with a price list: what is kept, and from whom it is."""

from __future__ import annotations

import dataclasses
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

from heritagemove.editing.entering import EXCEPTIONS, key_as_typed
from heritagemove.editing.rows_as_typed import TypedRows, typed_rows, with_rows
from heritagemove.editing.writing import Typed, typed
from heritagemove.files.tables import TableProblems, csv_lines, heading_of, read_table
from heritagemove.museum.rows.rates import Rate
from heritagemove.units.units import PlannerError

#: What may be kept of another museum.
KEEPS = ("prices", "rules")
_RATES = "rates.csv"


def kept_from(new: Typed, other: str | Path, keep: Collection[str]) -> Typed:
    """Return a museum just begun with a colleague's prices, or rules, in place of the starter's.

    Parameters
    ----------
    other : path
        A colleague's museum, folder or workbook; of prices a list as well, a file laid out as rates.csv.
    keep : collection of str
        Any of :data:`KEEPS`. Prices: the rates of the same names, with taxes, where she has them. Rules: the country or
        state, and the calendars.

    Raises
    ------
    PlannerError
        If something else is to be kept, or her prices are in another currency.
    TableProblems
        If her tables do not load.
    """
    if wrong := sorted(set(keep) - set(KEEPS)):
        raise PlannerError(f"keep: found {', '.join(wrong)}; allowed: {', '.join(KEEPS)}, with a comma between them")
    if Path(other).suffix.lower() == ".csv":
        if "rules" in keep:
            raise PlannerError(f'from: found "{other}", a price list; allowed: a museum, to keep its rules')
        return _with_prices(new, _price_list(Path(other)), Path(other).stem)
    theirs = typed(other)
    name = theirs.scenario.name
    if "rules" in keep:
        scenario = new.scenario.model_copy(update={"rules": theirs.scenario.rules})
        known = {row["calendar"] for row in typed_rows(theirs, "calendars.csv")}
        rest = [row for row in typed_rows(new, "calendars.csv") if row["calendar"] not in known]
        calendars = [_from(row, name) for row in typed_rows(theirs, "calendars.csv")] + rest
        new = dataclasses.replace(with_rows(new, {"calendars.csv": calendars}), scenario=scenario)
    if "prices" in keep:
        if theirs.scenario.currency != new.scenario.currency:
            allowed = f"prices in {new.scenario.currency}, since nothing here knows a rate of exchange"
            raise PlannerError(f'from: found "{name}" with prices in {theirs.scenario.currency}; allowed: {allowed}')
        taxes = {row["tax"]: row for row in (*typed_rows(new, "taxes.csv"), *typed_rows(theirs, "taxes.csv"))}
        new = with_rows(new, {"taxes.csv": taxes.values()})
        new = _with_prices(new, typed_rows(theirs, _RATES), name, typed_rows(theirs, EXCEPTIONS))
    return new


def _price_list(file: Path) -> TypedRows:
    _, problems = read_table(file, Rate)
    if problems:
        raise TableProblems(str(file), problems)
    lines = csv_lines(file)[0]
    return [dict(zip(heading_of(lines), line, strict=False)) for line in lines[1:] if any(line)]


def _with_prices(new: Typed, prices: TypedRows, name: str, exceptions: Sequence[Mapping[str, str]] = ()) -> Typed:
    """Return a museum with somebody's rows for each price that both have: all of them, at every weight."""
    own = typed_rows(new, _RATES)
    there = {row["equipment"] for row in own} | {""}
    theirs: dict[str, TypedRows] = {}
    for row in prices:
        if row.get("equipment", "") in there:
            theirs.setdefault(row["rate"], []).append(_from(row, name))
    kept: dict[str, TypedRows] = {}
    for row in own:
        kept.setdefault(row["rate"], []).append(row)
    rows = [row for rate, mine in kept.items() for row in theirs.get(rate, mine)]
    keys = {key_as_typed(_RATES, row) for rate in theirs for row in theirs[rate] if rate in kept}
    noted = [row for row in exceptions if row["table"] == _RATES and row["key"] in keys]
    mine = [row for row in typed_rows(new, EXCEPTIONS) if row["table"] != _RATES or row["key"] not in keys]
    return with_rows(new, {_RATES: rows, EXCEPTIONS: [*mine, *noted]})


def _from(row: Mapping[str, str], name: str) -> dict[str, str]:
    """Return a colleague's row, which says from whom it is; what is a starter's with her is so here."""
    said = row.get("source", "")
    return dict(row) | {"source": said if said.endswith(f"(from {name})") else f"{said} (from {name})"}
