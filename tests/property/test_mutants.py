"""What check passes never fails later, and no typo vanishes: cells of both museums changed at random.

An absurd cell is refused with file, row and column, or the comparison of every unit runs with it. A slip of one digit,
one letter or one unit in a cell that matters is spoken of, or some printed number moves. No file is touched by either.
"""

import collections
import itertools
import re
import time

import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.dry_run import stopped_by
from heritagemove.editing.values_as_read import summary
from heritagemove.files.tables import TableProblems
from heritagemove.files.xlsx_tables import workbook_bytes
from heritagemove.museum import rows
from heritagemove.museum.museum import load_museum
from heritagemove.museum.scenario_file import read_scenario, scenario_lines
from heritagemove.trials.simulation import draw
from tests.property.mutants import DATA, PLACES, absurd, load, mutants, slip, tables

LONGEST_WAIT = 60.0  # of processor time, the search for a cell included


def digest_of_files():
    return {file: file.read_bytes() for file in DATA.rglob("*") if file.is_file()}


def outcome(mutant, instead):
    """Return what became of a mutant; an accepted one has been compared, every unit of it, with other draws."""
    begin = time.process_time()
    try:
        museum = load(mutant, instead)
        problems = stopped_by(museum)
    except TableProblems as error:
        museum, problems = None, error.problems
    assert time.process_time() - begin < LONGEST_WAIT, mutant
    for problem in problems:
        assert problem.file in {*rows.MUSEUM_TABLES, *rows.REFERENCE_TABLES, "museum.toml"}, (mutant, problem)
        assert problem.allowed and (problem.row or problem.file == "museum.toml" or "row" in problem.allowed + problem.found)
        assert problem.column or problem.row in (0, 1), (mutant, problem)
    if problems:
        return "refused" if museum is None else "stopped"
    samples = draw(museum, seed=99, trials=100)
    for unit in museum.vehicles:
        assert compare_paths(museum, unit.vehicle, samples=samples).sentence, mutant
    return "accepted"


def run(count, seed, museum):
    before = digest_of_files()
    counts = collections.Counter(outcome(mutant, instead) for mutant, instead in mutants(seed, count, museum, absurd))
    assert digest_of_files() == before
    return counts


def test_an_absurd_cell_is_refused_with_its_place_or_the_comparison_runs(capsys):
    counts = run(60, 14, "abroad") + run(4, 14, "demo")
    with capsys.disabled():
        print(f"\nabsurd cells: {dict(counts)}")
    assert counts["accepted"] > 10 and counts["refused"] > 20


@pytest.mark.long
@pytest.mark.parametrize(("museum", "count"), [("abroad", 150), ("demo", 50)])
def test_two_hundred_absurd_cells_are_refused_with_their_place_or_the_comparison_runs(capsys, museum, count):
    counts = run(count, 200, museum)
    with capsys.disabled():
        print(f"\nabsurd cells, {museum}: {dict(counts)}")
    assert counts["accepted"] and counts["refused"]


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(4))
def test_many_absurd_cells_are_refused_with_their_place_or_the_comparison_runs(capsys, seed):
    counts = run(400, 100 + seed, "abroad") + run(100, 200 + seed, "demo")
    with capsys.disabled():
        print(f"\nabsurd cells: {dict(counts)}")
    assert counts["accepted"] > 100


def test_a_workbook_with_an_absurd_cell_says_the_same_as_the_tables(tmp_path):
    """The same cells in the sheets of a workbook: refused or accepted alike, the workbook untouched."""
    place = PLACES["abroad"]
    scenario, _ = read_scenario(place / "museum.toml")
    own = [(m, i) for m, i in mutants(15, 40, "abroad") if m.file in rows.MUSEUM_TABLES][:8]
    for number, (mutant, instead) in enumerate(own):
        sheets = {"museum": scenario_lines(scenario)} | {
            file.removesuffix(".csv"): lines for file, lines in tables("abroad").items() if file in rows.MUSEUM_TABLES
        }
        sheets[mutant.file.removesuffix(".csv")][mutant.row - 1][
            sheets[mutant.file.removesuffix(".csv")][0].index(mutant.column)
        ] = mutant.text
        path = tmp_path / f"{number}.xlsx"
        path.write_bytes(workbook_bytes(sheets))
        data, said = path.read_bytes(), []
        for museum in (lambda path=path: load_museum(path, place.parent / "reference"),
                       lambda mutant=mutant, instead=instead: load(mutant, instead)):  # fmt: skip
            try:
                said.append([str(problem) for problem in stopped_by(museum())])
            except TableProblems as error:
                said.append([str(problem) for problem in error.problems])
        assert [re.sub(r"\bsheet ", "", line).partition(":")[2] for line in said[0]] == [
            line.partition(":")[2] for line in said[1]
        ], mutant
        assert path.read_bytes() == data


#: Names that say which rows belong together. A slip makes a market or a carrier of its own, which check cannot know.
_NAMES_ONLY = {"market", "carrier"}


def _cells_that_matter():
    """Return the columns whose value enters an answer: not texts, and not a row's own id, which carries no meaning."""
    files = ("rates.csv", "tasks.csv", "cost_lines.csv", "vehicles.csv", "axles.csv", "legs.csv", "bridges.csv")
    return {
        file: [
            name
            for name, column in rows.MUSEUM_TABLES[file].columns.items()
            if not column.allowed.text.startswith("a text") and not (column.key and not column.refers_to)
            and name not in _NAMES_ONLY
        ]
        for file in files
    }  # fmt: skip


def printed(museum):
    """Return everything that is printed of a museum: its totals, and the answer for each unit."""
    samples = draw(museum, trials=100)
    answers = [str(compare_paths(museum, unit.vehicle, samples=samples).as_json()) for unit in museum.vehicles]
    return [*summary(museum), *answers]


def vanished(count, seed, museum):
    """Return the slips that neither check nor any printed number tells of."""
    base = load_museum(PLACES[museum])
    before, silent, counts = printed(base), [], collections.Counter()
    for mutant, instead in mutants(seed, count, museum, slip, _cells_that_matter()):
        try:
            changed = load(mutant, instead)
        except TableProblems:
            counts["refused"] += 1
            continue
        if changed.digest() == base.digest():
            counts["the same value in other letters"] += 1
        elif stopped_by(changed):
            counts["stopped"] += 1
        elif printed(changed) == before:
            silent.append(str(mutant))
        else:
            counts["moved"] += 1
    return silent, counts


def test_no_typo_in_a_cell_that_matters_vanishes(capsys):
    silent, counts = vanished(40, 16, "abroad")
    with capsys.disabled():
        print(f"\nslips: {dict(counts)}, vanished {len(silent)}")
    assert silent == []


@pytest.mark.soak
@pytest.mark.parametrize("museum", ["abroad", "demo"])
def test_no_typo_of_many_vanishes(capsys, museum):
    silent, counts = vanished(400 if museum == "abroad" else 80, 17, museum)
    with capsys.disabled():
        print(f"\nslips: {dict(counts)}, vanished {len(silent)}")
    assert silent == []


def test_every_check_and_table_is_among_the_mutants():
    """A corpus that never reaches a table proves nothing of it."""
    seen = {mutant.file for mutant, _ in itertools.chain(mutants(1, 3000, "abroad"), mutants(1, 3000, "demo"))}
    assert seen == {file for file in tables("demo") if len(tables("demo")[file]) > 1}
