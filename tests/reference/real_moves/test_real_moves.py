"""Published moves, each as the museum that could have been written before it, against its bill and its dates.

Estimates, quotes and goals stand apart: they are what somebody thought, not what it came to. `pytest -s` prints the table.
"""

import pytest

from tests.reference.real_moves.judging import JUDGED, sign_test, table, told
from tests.reference.real_moves.museums import cases

CASES = {case["id"]: case for case in cases()}
#: With fewer figures a hit rate says little.
ENOUGH = 15


@pytest.fixture(scope="module")
def answers(tmp_path_factory):
    """Every case's museum, path and figures."""
    folder = tmp_path_factory.mktemp("real_moves")
    return {name: told(case, folder) for name, case in CASES.items()}


def test_prices_stand_on_no_case_that_they_are_judged_by(answers):
    for name, (museum, _, _) in answers.items():
        for rate in museum.rates:
            assert name not in (getattr(rate, "source_ids", None) or ()), f"{name}: {rate.rate}"


def test_bills_and_dates_of_real_moves_fall_between_p10_and_p90(answers):
    figures = [each for _, _, found in answers.values() for each in found]
    print("\n" + table(figures))
    for unit in ("USD", "days"):
        judged = [each for each in figures if each.unit == unit and each.kind in JUDGED]
        if len(judged) >= ENOUGH:
            assert sum(each.inside for each in judged) >= 0.7 * len(judged)
            assert sign_test([each for each in judged if not each.inside]) >= 0.05


def test_what_went_wrong_is_named_by_a_row_of_the_museum(answers):
    print()
    for name, (museum, result, _) in answers.items():
        for cause in CASES[name].get("went_wrong", ()):
            for row in cause["named_by"]:
                table_name, key = row.split("/")
                column = {"tasks": "task", "risks": "risk", "gates": "gate", "cost_lines": "line"}[table_name]
                assert any(getattr(each, column) == key for each in museum.of_path(table_name, result.path)), (name, row)
            print(f"{name}  {'yes' if cause['named_by'] else 'no ':4} {cause['what']} ({', '.join(cause['named_by'])})")
