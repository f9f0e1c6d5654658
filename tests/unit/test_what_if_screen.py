"""The what-ifs that a committee asks, below the sliders of the decision notebook."""

from dataclasses import replace

import pytest

from heritagemove.compare.comparison import compare_paths
from heritagemove.panels.state import Desk
from heritagemove.panels.what_ifs import QUESTIONS, WhatIf, WhatIfs
from heritagemove.trials import simulation


@pytest.fixture(scope="module")
def samples(museum):
    return simulation.draw(museum, trials=500)


def _asked(museum, samples, vehicle):
    screen = WhatIfs(Desk(museum, vehicle, samples))
    screen.asked.value = "Asbestos must be stripped, not sealed"
    return screen


def test_stripping_costs_more_takes_longer_and_lowers_what_scrapping_leaves(plain):
    """15 working days more in every trial, which an estimating error of days would stretch and shrink with the others."""
    drawn = simulation.draw(plain, trials=500)
    alone, stripped = (compare_paths(plain, "coach", {"asbestos_strips": n}, drawn) for n in (0, 1))
    for path in ("donor_trucks", "trailer", "cut_up"):
        assert stripped.path(path).cost.p50 - alone.path(path).cost.p50 > 8_000
    waits, before = (c.path("donor_trucks").trials.dates.finish["make_safe"] for c in (stripped, alone))
    assert (waits - before >= 15).all()


def test_a_boiler_is_stripped_with_its_lagging_and_scrapped_as_before(museum, samples):
    alone, stripped = (compare_paths(museum, "consolidation", {"asbestos_strips": n}, samples) for n in (0, 1))
    more = stripped.path("trailer").cost.p50 - alone.path("trailer").cost.p50
    assert more > 38_000
    assert stripped.path("cut_up").cost.p50 == alone.path("cut_up").cost.p50


def test_the_screen_says_the_choice_the_scrap_and_each_path_before_and_after(museum, samples):
    screen = _asked(museum, samples, "coach")
    words, table = screen.shown.words.value, screen.shown.table.value
    assert "to be set aside" in words or ("set aside" in words and "Scrapping, to the owner: costs" in words)
    assert "Off site by then" in table and "Set aside then" in table and "donor trucks" in table


def test_a_unit_without_asbestos_is_told_so(museum, samples):
    assert "No asbestos is entered" in _asked(museum, samples, "foundry_switcher").shown.words.value


def test_each_question_begins_on_a_step_of_its_slider_and_in_whole_numbers(museum, samples):
    state = Desk(museum, "coach", samples)
    for ask in QUESTIONS.values():
        screen = WhatIf(state, ask)
        for control in (screen.slider, screen.box):
            assert type(control.value) is int and (control.value - control.min) % control.step == 0
        assert screen.slider.value == screen.question.value == screen.box.value


def test_a_failure_is_an_escaped_line_and_the_last_good_answer_stays(museum, samples):
    screen = WhatIf(Desk(museum, "coach", samples), QUESTIONS["The crane stands idle"])
    before, seen = screen.words.value, []

    def broken(state, hours):
        seen.append(screen.alert.value)
        raise ValueError("<b>no answer</b>")

    screen.question = replace(screen.question, answer=broken)
    screen.box.value = 9
    assert "Computing" in seen[0] and screen.words.value == before
    assert 'role="alert"' in screen.alert.value and "&lt;b&gt;no answer&lt;/b&gt;" in screen.alert.value
    assert "last good answer" in screen.alert.value


def test_an_answer_from_before_a_change_says_so_until_asked_again(museum, samples):
    screen = _asked(museum, samples, "coach")
    before = screen.shown.table.value
    assert screen.again not in screen.children[1].children
    screen.state.change("Haul distance", settings={"haul_distance": 200.0})
    assert "has changed since" in screen.note.value and screen.again in screen.children[1].children
    screen.again.click()
    assert screen.shown.table.value != before and screen.again not in screen.children[1].children
