"""What quotes would narrow, against a comparison in which the prices are quotes."""

import itertools

import numpy as np
import pytest

from heritagemove.answers.worth_of_quotes import worth_in_words, worth_of_quotes
from heritagemove.compare.comparison import compare_paths
from heritagemove.units.units import PlannerError


@pytest.fixture(scope="module")
def compared(museum, samples):
    return compare_paths(museum, "caboose", None, samples)


def test_quotes_for_the_largest_lines_take_the_error_from_them_and_leave_less_on_the_rest(compared):
    """By hand: their lines before error, the others with the sigma of the share of P50 money that is then quoted."""
    found, trials = worth_of_quotes(compared, "trailer"), compared.path("trailer").trials
    lines = [entry for entry in trials.lines if entry.line.title in found.titles]
    assert len(lines) == 3
    medians = {entry.line.line: max(np.median(entry.before_error_usd), 0) for entry in trials.lines}
    share = sum(medians[entry.line.line] for entry in lines) / sum(medians.values())
    table = sorted((row.quoted, row.value) for row in compared.museum.estimating_errors if row.error == "money")
    sigma = np.interp(share, *zip(*table, strict=True))
    narrower = np.exp(sigma * compared.samples.errors["trailer"])
    cost = trials.cost_usd.copy()
    for entry in trials.lines:
        if entry.error is not None:
            cost -= entry.cost_usd
            cost += entry.before_error_usd * (1 if entry in lines else narrower ** np.sign(entry.line.factor))
    assert found.quoted.p80 == pytest.approx(np.percentile(cost, 80), rel=1e-6)
    assert found.narrows_usd > 0 and f"{found.narrows_usd:,.0f} USD less" in found.in_words()


def test_more_quotes_never_widen(compared):
    widths = [worth_of_quotes(compared, "roll_on", count).quoted for count in (1, 3, 6)]
    assert all(more.p90 / more.p10 < less.p90 / less.p10 for less, more in itertools.pairwise(widths))


def test_without_the_error_quotes_narrow_nothing_and_a_path_without_a_price_is_refused(plain, plain_samples, compared):
    assert worth_in_words(compare_paths(plain, "caboose", None, plain_samples), "trailer") == ""
    with pytest.raises(PlannerError, match="0 lines"):
        worth_of_quotes(compared, "trailer", 0)
