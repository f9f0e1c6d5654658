"""A museum opened and saved by a real spreadsheet program says the same as before."""

import shutil
import subprocess

import pytest

from heritagemove.editing.starter import new_museum, starter_museum
from heritagemove.editing.values_as_read import summary
from heritagemove.editing.writing import write_museum
from heritagemove.files.tables import TableProblems
from heritagemove.museum.museum import load_museum

SOFFICE = shutil.which("soffice")
pytestmark = pytest.mark.skipif(SOFFICE is None, reason="no LibreOffice on the PATH")
# Comma, double quotes, UTF-8, from the first line; cells saved as shown; numbers in quotes stay texts.
CSV = "44,34,76,1,,0,false,true,false"


def saved_again(files, folder, kind, tmp_path, *more):
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    command = [SOFFICE, profile, "--headless", *more, "--convert-to", kind, "--outdir", str(folder), *map(str, files)]
    subprocess.run(command, check=True, capture_output=True, timeout=120)


def test_a_workbook_saved_by_a_spreadsheet_program_reads_the_same(tmp_path):
    book = write_museum(starter_museum(), tmp_path / "mine.xlsx")
    (tmp_path / "saved").mkdir()
    saved_again([book], tmp_path / "saved", "xlsx", tmp_path)
    saved = tmp_path / "saved" / "mine.xlsx"
    assert saved.read_bytes() != book.read_bytes()
    assert summary(load_museum(saved)) == summary(load_museum(book))


def test_tables_saved_by_a_spreadsheet_program_as_csv_read_the_same(tmp_path):
    mine, saved = new_museum(tmp_path / "mine"), new_museum(tmp_path / "saved")
    for file in saved.glob("*.csv"):
        file.unlink()
    filters = f"csv:Text - txt - csv (StarCalc):{CSV}"
    saved_again(sorted(mine.glob("*.csv")), saved, filters, tmp_path, "--infilter=CSV:44,34,76,1,,0,false,true")
    assert summary(load_museum(saved)) == summary(load_museum(mine))


@pytest.mark.parametrize(("mark", "called"), [(59, "semicolons"), (9, "tabs")])
def test_another_mark_between_quoted_cells_is_named(mark, called, tmp_path):
    mine = new_museum(tmp_path / "mine")
    names = ("rates.csv", "vehicles.csv")
    saved_again([mine / name for name in names], tmp_path, f"csv:Text - txt - csv (StarCalc):{mark},34,76,1", tmp_path)
    for name in names:
        (tmp_path / name).replace(mine / name)
    with pytest.raises(TableProblems) as found:
        load_museum(mine)
    said = [(problem.file, problem.row, problem.found) for problem in found.value.problems]
    assert sorted(said) == [(name, 1, f"{called} between cells") for name in names]
