"""Turn all money of a museum into another currency, at one rate of exchange: whole or not at all."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

from heritagemove.editing.amending import Cell, Tried, refuse_slips, write_down
from heritagemove.editing.renaming import TableRewritten, rewriting, typed_unchecked
from heritagemove.editing.writing import Lines, typed, write_museum
from heritagemove.files.tables import heading_of
from heritagemove.files.xlsx_tables import is_workbook
from heritagemove.museum.rows import MUSEUM_TABLES
from heritagemove.museum.scenario_file import amended_text, read_scenario
from heritagemove.units import units
from heritagemove.units.names import CURRENCIES
from heritagemove.units.units import PlannerError, parse_number

_COSTS = ("cost_low", "cost_likely", "cost_high")
#: Plain numbers of money, by table; a price is one where its unit names a currency.
_PLAIN = {
    "risks.csv": (*_COSTS, "deductible", "mitigation_cost"),
    "inquiries.csv": _COSTS,
    "upkeep.csv": ("low", "likely", "high"),
    "rates.csv": ("low", "likely", "high"),
}


def convert_money(
    place: str | Path, old: str, new: str, at: float, who: str, why: str = "", on: dt.date | None = None, *, tried: Tried
) -> tuple[str, ...]:
    """Write every amount of money in another currency.

    Parameters
    ----------
    place : path
        The museum's folder, or its workbook.
    old, new : str
        ISO codes; the tables may still stand in the old one while museum.toml already says the new.
    at : float
        How many of the new currency one of the old buys, above 0; 1 where only the name was wrong.
    who, why, on, tried
        As for :func:`heritagemove.editing.amending.amend`.

    Returns
    -------
    tuple of str
        The files that changed.

    Raises
    ------
    PlannerError
        If a code or the rate is not allowed; nothing was written.
    """
    for code in (old, new):
        if code not in CURRENCIES:
            raise PlannerError(f'found "{code}"; allowed: {", ".join(CURRENCIES)}')
    if not 0 < at < 1e6:
        raise PlannerError(f"found a rate of exchange of {at:g}; allowed: more than 0")
    path, why = Path(place), why or f"all money from {old} into {new} at {at:g}"
    tables = typed_unchecked(path)
    changed = {file: _converted(file, lines, old, new, at) for file, lines in tables.items()}
    changed = {file: lines for file, lines in changed.items() if lines != tables[file]}
    if is_workbook(path):
        whole = typed(path)
        scenario = whole.scenario.model_copy(update={"currency": new})
        write_museum(replace(whole, scenario=scenario, tables=whole.tables | changed), path, replace=True)
        return tuple(changed)
    refuse_slips(path, "rates.csv", [], who, why)
    changes: dict[str, TableRewritten] = {file: rewriting(lines, None) for file, lines in changed.items()}
    scenario, _ = read_scenario(path / "museum.toml")
    if scenario is not None:
        other = scenario.model_copy(update={"currency": new})
        changes["museum.toml"] = lambda before: (amended_text(before, other), [Cell(0, "currency", old, new)])
    write_down(path, changes, (who, why), {}, on, tried)
    return tuple(changed)


def _converted(file: str, lines: Lines, old: str, new: str, at: float) -> Lines:
    heading, columns = heading_of(lines), MUSEUM_TABLES[file].columns
    money = {name for name, column in columns.items() if column.allowed.unit == "money"}
    out = [list(lines[0])]
    for line in lines[1:]:
        row = dict(zip(heading, line, strict=False))
        plain = () if file == "rates.csv" and old not in row.get("unit", "") else _PLAIN.get(file, ())
        cells = {name: _times(row[name], at) for name in plain if row.get(name, "").strip()}
        cells |= {name: _amount(row[name], old, new, at) for name in money if old in row.get(name, "")}
        cells |= {name: row[name].replace(old, new) for name in ("unit", "factor_unit") if old in row.get(name, "")}
        out.append(list((row | cells).values()))
    return out


def _times(text: str, at: float) -> str:
    return f"{parse_number(text) * at:.6g}" if at != 1 else text


def _amount(text: str, old: str, new: str, at: float) -> str:
    return f"{units.parse(text, old).magnitude * at:,.10g} {new}"

