"""The published uplifts stand beside the trials and are never added to them."""

import re

import pytest

from heritagemove.answers.contingency import point_estimate
from heritagemove.answers.outside_view import outside_view
from heritagemove.compare.comparison import compare_paths


@pytest.fixture(scope="module")
def compared(museum, samples):
    return compare_paths(museum, "caboose", None, samples)


def test_the_uplifts_are_those_of_the_rows_on_the_likely_sum(museum, compared):
    text, point = outside_view(compared, "roll_on"), point_estimate(compared, "roll_on")
    low, high = museum.limit("optimism_bias_cost_lower"), museum.limit("optimism_bias_cost_upper")
    for amount in (point, point * (1 + low / 100), point * (1 + high / 100)):
        assert f" {amount:,.0f} " in text
    assert "do not add them" in text


def test_the_place_of_the_budget_is_told_right(museum, compared):
    text = outside_view(compared, "roll_on")
    least, usual, budget = (float(n.replace(",", "")) for n in re.findall(r"([\d,]{4,}) (?:to|USD; the|USD, lies)", text))
    place = re.search(r"lies (above both|below both|between them)", text).group(1)
    assert place == ("above both" if budget > usual else "below both" if budget < least else "between them")


def test_without_the_rows_nothing_is_said(museum, samples, compared):
    import dataclasses

    none = [row for row in museum.limits if not row.limit.startswith("optimism_bias")]
    bare = museum.with_changes(limits=none, overruns=[])
    assert outside_view(dataclasses.replace(compared, museum=bare), "roll_on") == ""


def test_each_published_record_stands_beside_what_the_trials_say_of_the_same(museum, compared):
    text, result = outside_view(compared, "roll_on"), compared.path("roll_on")
    over = result.cost.mean / point_estimate(compared, "roll_on") - 1
    assert f"mean {over:+.0%} of the sum of likely values" in text
    assert "2,228 road projects in Norway, 1993-2016, median +4 % and mean +12 %" in text
    assert "24,000 heritage grants in the United Kingdom, to 2007, 26 % went over" in text
    for row in museum.overruns:
        assert row.title in text
    assert outside_view(compared, "own_wheels").count("Outside view:") == 3
