"""Published moves, each as the museum that could have been written before it, against its bill and its dates.

Estimates, quotes and goals stand apart: they are what somebody thought, not what it came to. `pytest -s` prints the table.
"""

import csv
import io
import tempfile
from pathlib import Path

import pytest

from tests.reference.real_moves.judging import JUDGED, causes, sign_test, table, told
from tests.reference.real_moves.museums import cases

CASES = {case["id"]: case for case in cases()}
#: What went wrong in each case, and which row of its museum names it; written again where it differs.
TABLE = Path(__file__).with_name("foreseen.csv")
REWRITTEN = Path(tempfile.gettempdir()) / TABLE.name
HEADING = ("case", "verdict", "status", "what went wrong", "foreseen", "named by", "would name it, does not apply")
#: With fewer figures a hit rate says little.
ENOUGH = 15


@pytest.fixture(scope="module")
def answers(tmp_path_factory):
    """Every case's museum, path and figures."""
    folder = tmp_path_factory.mktemp("real_moves")
    return {name: told(case, folder) for name, case in CASES.items()}


def test_prices_stand_on_no_case_that_they_are_judged_by(answers):
    for name, (answer, _, _) in answers.items():
        for rate in answer.museum.rates:
            assert name not in (getattr(rate, "source_ids", None) or ()), f"{name}: {rate.rate}"


def test_bills_and_dates_of_real_moves_fall_between_p10_and_p90(answers):
    figures = [each for _, _, found in answers.values() for each in found]
    print("\n" + table(figures))
    for unit in ("USD", "days"):
        judged = [each for each in figures if each.unit == unit and each.kind in JUDGED]
        if len(judged) >= ENOUGH:
            assert sum(each.inside for each in judged) >= 0.7 * len(judged)
            assert sign_test([each for each in judged if not each.inside]) >= 0.05


def test_what_went_wrong_and_who_named_it_is_the_committed_table(answers):
    rows = [row for name, (answer, result, _) in answers.items() for row in causes(CASES[name], answer, result)]
    written = io.StringIO()
    csv.writer(written, lineterminator="\n").writerows([HEADING, *rows])
    if written.getvalue() != TABLE.read_text(encoding="utf-8"):
        REWRITTEN.write_text(written.getvalue(), encoding="utf-8")
    foreseen = sum(row[4] == "yes" for row in rows)
    print(f"\n{foreseen} of {len(rows)} causes were named by a task, a risk, a gate or a cost line of the museum")
    assert written.getvalue() == TABLE.read_text(encoding="utf-8"), f"look at {REWRITTEN} and put it in place of {TABLE.name}"
