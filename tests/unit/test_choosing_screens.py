"""Charts and screens of the committee's choice: the finding on top, every text escaped, no colour alone."""


import pytest

from heritagemove import charts
from heritagemove.answers.basis_shares import basis_shares
from heritagemove.answers.criteria import value_paths
from heritagemove.answers.mitigation import mitigations
from heritagemove.answers.regret import regret_table
from heritagemove.answers.value_of_information import worth_knowing
from heritagemove.compare import comparison
from heritagemove.panels.all_screens import show_topics as show
from heritagemove.panels.basis_shares import show_basis
from heritagemove.panels.criteria import show_criteria
from heritagemove.panels.state import Desk
from heritagemove.panels.value_of_information import show_knowing, show_mitigations
from heritagemove.trials.simulation import draw
from tests.desks import desk_of

HOSTILE = '<img src=x onerror="alert(1)">'


@pytest.fixture(scope="module")
def samples(museum):
    return draw(museum, trials=500)


@pytest.fixture(scope="module")
def caboose(museum, samples):
    return comparison.compare_paths(museum, "caboose", None, samples)


@pytest.fixture(scope="module")
def consolidation(museum, samples):
    return comparison.compare_paths(museum, "consolidation", None, samples)


@pytest.fixture(scope="module")
def nobody(museum, samples):
    """A unit that no path saves."""
    lost = museum.with_changes(paths=[row.model_copy(update={"saves": False}) for row in museum.paths])
    return comparison.compare_paths(lost, "caboose", None, samples)


def _texts(chart):
    within = [text for axes in chart.figure.axes for text in axes.texts]
    return [text.get_text() for text in [*within, *chart.figure.texts]]


def test_the_chart_of_values_names_the_dominated_paths_on_their_bars(caboose):
    table = value_paths(caboose)
    chart = charts.weighted_values(table)
    dominated = [option for option in table.options if option.dominated_by]
    assert dominated
    for option in dominated:
        assert any(f"beaten by {option.dominated_by[0]}" in text for text in _texts(chart))
    hatched = [patch for axes in chart.figure.axes for patch in axes.patches if patch.get_hatch()]
    assert len(hatched) == len(dominated) * len(table.criteria)
    begins = f"Paths {table.choice.number}, " if table.ties else f"Path {table.choice.number} is worth most"
    assert chart.alt.startswith(begins)


def test_the_letters_in_the_bars_are_told_below_them(caboose):
    table = value_paths(caboose)
    keys = [text.get_text() for text in charts.weighted_values(table).figure.texts]
    for letter, row in zip("abcdefg", table.criteria, strict=True):
        assert any(key.startswith(f"{letter}  ") and f"{table.shares[row.criterion]:.0%}" in key for key in keys)


def test_the_chart_of_regrets_shows_each_regret_in_thousands(consolidation):
    table = regret_table(consolidation)
    texts = _texts(charts.regret_grid(table))
    for value in table.regrets_usd.ravel():
        assert f"{value / 1000:,.0f}" in texts


def test_charts_of_nothing_say_so(nobody):
    assert "No path can be valued" in charts.weighted_values(value_paths(nobody)).alt
    assert "nothing to regret" in charts.regret_grid(regret_table(nobody)).alt
    assert "Nothing that could be found out" in charts.inquiry_worth(worth_knowing(nobody)).alt


def test_the_chart_of_mitigations_says_of_each_what_it_saves_and_costs(consolidation):
    found = mitigations(consolidation, "trailer")
    chart = charts.mitigation_worth(consolidation.path("trailer"), found)
    for entry in found:
        assert f"saves {entry.saves_usd:,.0f}" in _texts(chart) and f"costs {entry.cost_usd:,.0f}" in _texts(chart)
        assert entry.verdict in chart.alt


def test_the_chart_of_bases_carries_the_shares_and_the_class(consolidation):
    shares = basis_shares(consolidation, "trailer")
    chart = charts.basis_bars(shares)
    assert shares.grade.by_definition.title in chart.alt
    assert all(stake.title in chart.alt for stake in shares.stakes[:6])


def test_a_chart_uses_a_given_figure_again(caboose):
    first, other = charts.weighted_values(value_paths(caboose)), value_paths(caboose, {"cost": 1})
    again = charts.weighted_values(other, first.figure)
    assert again.figure is first.figure and charts.png(again) == charts.png(charts.weighted_values(other))


def test_moving_a_weight_shows_what_weigh_gives(consolidation, museum):
    screen = show_criteria(desk_of(consolidation))
    assert screen.weights == {row.criterion: row.weight for row in museum.criteria}
    screen.boxes["cost"].value = 1.5
    said = value_paths(consolidation, {"cost": 1.5})
    assert screen.table.options == said.options
    assert said.choice_in_words().split(",")[0] in screen.sentence.value
    screen.reset.click()
    assert screen.table.options == value_paths(consolidation).options


def test_the_paths_that_save_nothing_appear_when_asked_for(consolidation, museum):
    screen = show_criteria(desk_of(consolidation))
    count = len(screen.table.options)
    screen.every.value = True
    assert len(screen.table.options) > count
    assert "Path 11, decline" in screen.values.value and museum.path("decline").title in screen.regrets.value


def test_weights_that_are_all_zero_leave_the_last_answer_and_say_why(consolidation):
    screen = show_criteria(desk_of(consolidation))
    screen.setting_up = True
    for slider in screen.sliders.values():
        slider.value = 0
    screen.setting_up = False
    screen.follow()
    assert 'role="alert"' in screen.alert.value and "at least one above 0" in screen.alert.value
    assert screen.picture.value
    screen.reset.click()
    assert screen.alert.value == ""


def test_a_weight_between_halves_stands_on_a_step_of_its_slider_and_loses_a_rounding_error(consolidation, museum):
    rows = (museum.criteria[0].model_copy(update={"weight": 7.3}), *museum.criteria[1:])
    screen = show_criteria(Desk(museum.with_changes(criteria=rows), "consolidation", comparison=consolidation))
    first, second = list(screen.sliders.values())[:2]
    assert (first.step, second.step) == (0.01, 0.5)
    for slider in screen.sliders.values():
        assert (slider.value - slider.min) / slider.step == pytest.approx(round((slider.value - slider.min) / slider.step))
    first.value = 7.300000000000001
    assert screen.weights[museum.criteria[0].criterion] == 7.3


def test_every_slider_has_a_label_and_a_number_box_with_the_same_value(consolidation):
    screen = show_criteria(desk_of(consolidation))
    for name, slider in screen.sliders.items():
        assert screen.boxes[name].description and slider.tooltip and screen.boxes[name].tooltip
        assert screen.boxes[name].value == slider.value
    screen.boxes["risk"].value = 2.5
    assert screen.sliders["risk"].value == 2.5


def test_a_screen_follows_the_state_of_a_notebook(museum, samples):
    state = Desk(museum, "consolidation", samples)
    frames = [show.worth.criteria(state), show.worth.basis(state), show.worth.mitigations(state)]
    screen, *pages = (frame.body for frame in frames)
    before = [screen.picture.value, *(page.value for page in pages)]
    assert state.change("Unit", vehicle="caboose") and not state.error
    after = [screen.picture.value, *(page.value for page in pages)]
    assert all(one != other for one, other in zip(before, after, strict=True))
    assert screen.table.options == value_paths(state.comparison).options


def test_screens_of_a_unit_that_nothing_saves_say_so(nobody):
    assert "No path can be chosen" in show_basis(desk_of(nobody))
    assert "nothing to mitigate" in show_mitigations(desk_of(nobody))
    assert "Nothing that could be found out" in show_knowing(desk_of(nobody))
    assert "No path can be valued" in show_criteria(desk_of(nobody)).sentence.value


def test_no_text_of_a_table_becomes_markup(museum, samples):
    changed = museum.with_changes(
        paths=[row.model_copy(update={"title": HOSTILE}) for row in museum.paths],
        criteria=[row.model_copy(update={"title": HOSTILE, "unit": HOSTILE}) for row in museum.criteria],
        inquiries=[row.model_copy(update={"title": HOSTILE}) for row in museum.inquiries],
        risks=[row.model_copy(update={"title": HOSTILE, "mitigation": HOSTILE}) for row in museum.risks],
        rates=[row.model_copy(update={"title": HOSTILE}) for row in museum.rates],
        gates=[row.model_copy(update={"title": HOSTILE}) for row in museum.gates],
    )
    compared = comparison.compare_paths(changed, "caboose", None, samples)
    screen = show_criteria(desk_of(compared))
    shown = [w.value for w in (screen.sentence, screen.picture, screen.values, screen.regrets, screen.regret_says)]
    shown += [f(desk_of(compared)) for f in (show_basis, show_mitigations, show_knowing)]
    assert all(HOSTILE not in text for text in shown)
