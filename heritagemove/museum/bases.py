"""What one value rests on: its row's basis, source and flag, unless bases.csv says otherwise of that value."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from heritagemove.files.tables import Problem
from heritagemove.museum import rows
from heritagemove.museum.references import listed, problem, shown


def key_of(row: Any) -> str:
    """Return how bases.csv names a row: its key cells with / between them; blank where its table has no key.

    Parameters
    ----------
    row : Row
        A row of a museum's table.
    """
    cells = [shown(getattr(row, column.name)) for column in row.columns.values() if column.key]
    return "/".join(cells).rstrip("/")


class Bases:
    """What the values of a museum's tables rest on."""

    def __init__(self, museum: Any) -> None:
        self._said = {(row.table.removesuffix(".csv"), row.key, row.column): row for row in museum.bases}
        self._named = {(table, key) for table, key, _ in self._said}

    def of(self, table: str, row: Any, column: str) -> Any:
        """Return what has the basis, source and flag of one value: its row, or the row of bases.csv about it."""
        key = key_of(row) if self._said else ""
        return self._said.get((table, key, column), row)

    def bases(self, table: str, row: Any, columns: Iterable[str]) -> list[str]:
        """Return the bases of some values of a row."""
        return [self.of(table, row, column).basis for column in columns]

    def is_starter(self, table: str, row: Any, columns: Iterable[str]) -> bool:
        """Return whether one of some values of a row is still the starter's."""
        return any(self.of(table, row, column).starter for column in columns)


def named_values(museum: Any) -> Iterable[Problem]:
    """Find rows of bases.csv that name no row, or no column, of their table."""
    keys: dict[str, set[str]] = {}
    for said in museum.bases:
        table = said.table.removesuffix(".csv")
        if table not in rows.TABLES:
            continue  # told as an unknown table
        if table not in keys:
            keys[table] = {key_of(row) for row in getattr(museum, table)} - {""}
        if said.key not in keys[table]:
            yield problem("bases", said, "key", f"a row of {said.table}: " + listed(said.key, keys[table]))
        columns = {name for name in rows.TABLES[table].columns if name not in ("basis", "source", "starter")}
        if said.column not in columns:
            yield problem("bases", said, "column", listed(said.column, columns))
