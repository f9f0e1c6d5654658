"""One cell of a museum changed in every way a hand slips or a value can be absurd, and the museum loaded with it."""

import csv
import io
import random
import re
from dataclasses import dataclass
from pathlib import Path

from heritagemove.museum import rows
from heritagemove.museum.museum import load_museum, reference_folder

DATA = Path(__file__).resolve().parents[2] / "data"
PLACES = {"demo": DATA / "tamber_river", "abroad": DATA / "elsewhere" / "melderbach"}
#: Other units that a hand may type: of the same kind, of another kind, ambiguous, or none at all.
UNITS = ["lb", "kg", "tonne", "short_ton", "ton", "ft", "m", "mm", "in", "mile", "km", "%", "deg", "USD", "EUR", "mph",
         "km/h", "kV", "furlongz", "day", "psf"]  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """One changed cell."""

    museum: str
    file: str
    row: int
    column: str
    was: str
    text: str

    def __str__(self) -> str:
        return f'{self.museum} {self.file} row {self.row}, column {self.column}: "{self.was}" -> "{self.text}"'


def tables(name: str) -> dict[str, list[list[str]]]:
    """Return the lines of every table of a museum, reference tables included, the heading first."""
    place = PLACES[name]
    files = [place / file for file in rows.MUSEUM_TABLES]
    files += [reference_folder(place) / file for file in rows.REFERENCE_TABLES]
    return {file.name: list(csv.reader(io.StringIO(file.read_text(encoding="utf-8-sig"), newline=""))) for file in files}


def absurd(chance: random.Random, text: str) -> str:
    """Return a cell's text as it must not pass unseen: nothing, nought, far too much, another unit, a far date."""
    number = re.search(r"\d[\d,.]*", text)
    date = re.fullmatch(r"(\d{4})(-\d\d-\d\d)", text)
    ways = ["", "0", "unknown", "750 ft", "0.0001", "1000000"]
    if date:
        ways = [f"{int(date[1]) + years}{date[2]}" for years in (-1000, -30, -1, 1, 7, 40)]
    elif number:
        before, after = text[: number.start()], text[number.end() :]
        value = float(number[0].replace(",", "").rstrip(".") or 0)
        ways += [f"{before}{each:f}".rstrip("0").rstrip(".") + after for each in (0, value / 1000, value * 10, value * 1000)]
        ways += [f"-{text}", f"{before}{number[0]} {chance.choice(UNITS)}", before + number[0]]
    return chance.choice(ways)


def slip(chance: random.Random, text: str) -> str:
    """Return a cell's text with one digit, one letter or its unit changed."""
    places = [at for at, letter in enumerate(text) if letter.isalnum()]
    at = chance.choice(places)
    unit = re.search(r" ([a-z_]+)$", text)
    if unit and chance.random() < 0.3:
        return text[: unit.start(1)] + chance.choice([each for each in UNITS if each != unit[1]])
    letters = "0123456789" if text[at].isdigit() else "abcdefghijklmnopqrstuvwxyz"
    return text[:at] + chance.choice([letter for letter in letters if letter != text[at].lower()]) + text[at + 1 :]


def mutants(seed: int, count: int, museum: str, change=absurd, cells=None):
    """Yield so many mutants of a museum, with the bytes of the changed table; `cells` says which columns count."""
    chance, lines = random.Random(seed), tables(museum)
    files = [file for file in lines if len(lines[file]) > 1 and (cells is None or cells.get(file))]
    made = 0
    while made < count:
        file = chance.choice(files)
        row = chance.randrange(1, len(lines[file]))
        column = chance.choice([name for name in lines[file][0] if not cells or name in cells[file]])
        place = lines[file][0].index(column)
        was = lines[file][row][place]
        if change is slip and not any(map(str.isalnum, was)):
            continue
        text = change(chance, was)
        if text == was:
            continue
        changed = [list(line) for line in lines[file]]
        changed[row][place] = text
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows(changed)
        made += 1
        yield Mutant(museum, file, row + 1, column, was, text), {file: out.getvalue().encode()}


def load(mutant: Mutant, instead: dict[str, bytes]):
    """Load the museum of a mutant as the package does, from memory."""
    return load_museum(PLACES[mutant.museum], instead=instead)
