"""A copy of the demo museum that a test may damage."""

import csv
import shutil
from pathlib import Path

import pytest

DATA = Path(__file__).resolve().parents[2] / "data"


class Copy:
    """A museum's folder with one hand on each cell."""

    def __init__(self, folder: Path):
        self.folder = folder

    def cells(self, file: str) -> list[list[str]]:
        with (self.folder / file).open(newline="", encoding="utf-8") as source:
            return list(csv.reader(source))

    def write(self, file: str, cells: list[list[str]]) -> None:
        with (self.folder / file).open("w", newline="", encoding="utf-8") as target:
            csv.writer(target, lineterminator="\n").writerows(cells)

    def set(self, file: str, row: int, column: str, text: str) -> None:
        """Set the cell of a spreadsheet row (the heading is row 1)."""
        cells = self.cells(file)
        cells[row - 1][cells[0].index(column)] = text
        self.write(file, cells)


@pytest.fixture
def museum_copy(tmp_path):
    shutil.copytree(DATA / "reference", tmp_path / "reference")
    shutil.copytree(DATA / "tamber_river", tmp_path / "tamber_river")
    return Copy(tmp_path / "tamber_river")
