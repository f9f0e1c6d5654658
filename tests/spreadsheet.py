"""A spreadsheet's reckoning of a workbook's formulas, apart from their writer: what a change of one cell does to others."""

import re
from pathlib import Path

from openpyxl import load_workbook
from openpyxl.utils import range_boundaries

_REFERENCE = re.compile(r"(?:'((?:[^']|'')+)'!)?(\$?[A-Z]{1,3}\$?\d+)(?::(\$?[A-Z]{1,3}\$?\d+))?")


class Recalculated:
    """A workbook whose cells are reckoned from its formulas, with some cells changed."""

    def __init__(self, path: Path, changes: dict[tuple[str, str], float] | None = None) -> None:
        self.book, self._found = load_workbook(path), {}
        for (sheet, cell), value in (changes or {}).items():
            self.book[sheet][cell].value = value

    def __getitem__(self, place: tuple[str, str]):
        if place not in self._found:
            value = self.book[place[0]][place[1]].value
            formula = isinstance(value, str) and value.startswith("=") and self.book[place[0]][place[1]].data_type == "f"
            self._found[place] = self._reckoned(place[0], value[1:]) if formula else value
        return self._found[place]

    def _reckoned(self, sheet: str, text: str):
        texts = re.split(r'("[^"]*")', text)  # what stands in quotes is no reference
        texts[::2] = [re.sub(r"(?<![<>=])=(?!=)", "==", each.replace("^", "**")) for each in texts[::2]]
        texts[::2] = [_REFERENCE.sub(lambda found: self._named(sheet, found), each) for each in texts[::2]]
        functions = {"SUM": _sum, "MAX": max, "IF": lambda test, yes, no: yes if test else no, "ROWS": len, "COUNT": _count}
        return eval("".join(texts), {"__builtins__": {}, **functions, "cells": self._cells})

    def _named(self, sheet: str, found: re.Match) -> str:
        named = (found[1] or sheet).replace("''", "'")
        return f"cells({named!r}, {found[2].replace('$', '')!r}, {found[3] and found[3].replace('$', '')!r})"

    def _cells(self, sheet: str, first: str, last: str | None):
        if last is None:
            return self[sheet, first] or 0.0
        left, top, right, bottom = range_boundaries(f"{first}:{last}")
        rows = self.book[sheet].iter_rows(top, bottom, left, right)
        return [self[sheet, cell.coordinate] for row in rows for cell in row]


def formulas(path: Path):
    """Return every cell with a formula, as sheet and cell, with the value that the file holds beside it."""
    written, cached = load_workbook(path), load_workbook(path, data_only=True)
    for sheet in written.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    yield (sheet.title, cell.coordinate), cached[sheet.title][cell.coordinate].value


def _count(values) -> int:
    return sum(isinstance(value, int | float) for value in values)


def _sum(values) -> float:
    return sum(value for value in (values if isinstance(values, list) else [values]) if isinstance(value, int | float))
