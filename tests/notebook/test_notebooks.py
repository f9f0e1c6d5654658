"""Notebooks are clean in the repository and run from top to bottom in a new kernel."""

import re
import shutil
from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

FOLDER = Path(__file__).resolve().parents[2] / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))


@pytest.fixture(params=NOTEBOOKS, ids=lambda path: path.stem)
def notebook(request):
    return nbformat.read(request.param, as_version=4)


def code_cells(notebook):
    return [cell for cell in notebook.cells if cell.cell_type == "code"]


def test_the_decision_notebook_is_there():
    assert "decision" in [path.stem for path in NOTEBOOKS]


def test_nothing_is_stored_but_the_cells(notebook):
    nbformat.validate(notebook)
    for cell in code_cells(notebook):
        assert cell.outputs == [] and cell.execution_count is None, cell.source
    assert "widgets" not in notebook.metadata
    assert notebook.metadata.kernelspec.name == "python3"
    assert "version" not in notebook.metadata.get("language_info", {})


def test_a_cell_is_three_lines_at_most_and_has_no_program_in_it(notebook):
    for cell in code_cells(notebook):
        lines = cell.source.splitlines()
        assert 1 <= len(lines) <= 3, cell.source
        assert not any(line.split(" ")[0] in ("def", "class", "for", "while", "if", "with", "try:") for line in lines)


def test_it_follows_the_desk_and_names_no_museum(notebook):
    first, *rest = code_cells(notebook)
    assert first.source.splitlines()[:2] == ["import heritagemove as hm", "desk = hm.desk()"]
    assert not any("import" in cell.source or "../" in cell.source for cell in rest)
    assert not any(name in cell.source for cell in code_cells(notebook) for name in ("tamber", "switcher"))


def test_the_first_cell_asks_the_question(notebook):
    first = notebook.cells[0]
    assert first.cell_type == "markdown" and first.source.startswith("# ") and "?" in first.source.splitlines()[0]


def test_cells_have_stable_readable_ids(notebook):
    ids = [cell.id for cell in notebook.cells]
    assert len(set(ids)) == len(ids)
    assert all(cell_id.replace("-", "").isalpha() for cell_id in ids)


#: Run with every `make test`; the others take minutes together and are run by `make test-long`.
QUICK = ("decision", "start_here")


@pytest.fixture(scope="session")
def beside(tmp_path_factory):
    """A folder beside which the data stands, so that nobody's own choice of museum is remembered there."""
    top = tmp_path_factory.mktemp("project")
    shutil.copytree(FOLDER.parent / "data", top / "data")
    (top / "notebooks").mkdir()
    return top / "notebooks"


@pytest.mark.parametrize(
    "path",
    [pytest.param(path, id=path.stem, marks=() if path.stem in QUICK else pytest.mark.long) for path in NOTEBOOKS],
)
def test_it_runs_in_a_clean_kernel_and_shows_something_in_each_cell(path, beside):
    notebook = nbformat.read(path, as_version=4)
    NotebookClient(notebook, timeout=300, kernel_name="python3", resources={"metadata": {"path": str(beside)}}).execute()
    shown = {cell.id: cell.outputs for cell in code_cells(notebook)}
    for cell in code_cells(notebook):
        assert all(output.output_type in ("execute_result", "display_data") for output in cell.outputs), cell.outputs
        assert cell.outputs, cell.source
    if path.stem == "decision":
        assert "application/vnd.jupyter.widget-view+json" in shown["explore"][-1].data


def test_every_link_of_the_start_page_leads_to_a_notebook_and_the_fifteen_questions_are_there():
    start = nbformat.read(FOLDER / "start_here.ipynb", as_version=4)
    text = "\n".join(cell.source for cell in start.cells if cell.cell_type == "markdown")
    linked = set(re.findall(r"\]\(([a-z_]+\.ipynb)\)", text))
    assert linked == {path.name for path in NOTEBOOKS} - {"start_here.ipynb"}
    rows = re.findall(r"^\| (\d+) \| [^|]+\? \| \[", text, re.MULTILINE)
    assert [int(number) for number in rows] == list(range(1, 16))
