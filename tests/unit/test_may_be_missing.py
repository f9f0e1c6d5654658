"""Tables that came later may be missing: an old museum has none of their rows."""

import shutil

import pytest
from conftest import DATA

from heritagemove.editing.writing import typed, write_museum
from heritagemove.museum.museum import load_museum
from heritagemove.museum.rows import MUSEUM_TABLES, TABLES

LATER = [file for file, model in MUSEUM_TABLES.items() if model.may_be_missing]


@pytest.fixture
def folder(tmp_path):
    shutil.copytree(DATA / "tamber_river", tmp_path / "old")
    shutil.copytree(DATA / "reference", tmp_path / "reference")
    for name, model in TABLES.items():
        for place in ("old", "reference"):
            if model.may_be_missing:
                (tmp_path / place / f"{name}.csv").unlink(missing_ok=True)
    # What names their rows goes too.
    rates = load_rates(tmp_path / "old" / "rates.csv")
    (tmp_path / "old" / "rates.csv").write_text(rates, encoding="utf-8")
    return tmp_path / "old"


def load_rates(file):
    import csv
    import io

    lines = list(csv.DictReader(io.StringIO(file.read_text(encoding="utf-8"))))
    kept = [name for name in lines[0] if name not in ("price_index", "tax", "source_ids")]
    out = io.StringIO()
    writer = csv.DictWriter(out, kept, extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows(lines)
    return out.getvalue()


def test_a_museum_without_them_loads_and_is_written_with_their_headings(folder, tmp_path):
    assert LATER and not any((folder / file).exists() for file in LATER)
    assert not load_museum(folder).donations
    for name in ("new", "new.xlsx"):
        place = write_museum(typed(folder), tmp_path / name)
        assert load_museum(place).taxes == ()
    assert all((tmp_path / "new" / file).read_text().startswith(next(iter(MUSEUM_TABLES[file].columns))) for file in LATER)


def test_a_workbook_without_their_sheets_loads(folder, tmp_path):
    from openpyxl import load_workbook

    place = write_museum(typed(folder), tmp_path / "old.xlsx")
    book = load_workbook(place)
    for file in LATER:
        del book[file.removesuffix(".csv")]
    book.save(place)
    assert load_museum(place).upkeep == () and len(typed(place).tables["donations.csv"]) == 1
