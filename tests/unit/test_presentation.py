"""The presentation, the schedule, scenarios and methods on screen, without a browser."""

import re

import pytest

from heritagemove.answers import in_twenty_words
from heritagemove.answers.route import strip
from heritagemove.compare.comparison import compare_paths
from heritagemove.compare.inputs import Inputs
from heritagemove.hand_over.page.paper import paper
from heritagemove.panels import methods
from heritagemove.panels.all_screens import show_topics as show
from heritagemove.panels.presentation import present
from heritagemove.panels.scenarios import show_scenarios
from heritagemove.panels.start import show_museum
from heritagemove.panels.state import Desk
from heritagemove.panels.what_ifs import WhatIf, heavier
from heritagemove.trials.simulation import draw


@pytest.fixture(scope="module")
def few(museum):
    return draw(museum, trials=400)


@pytest.fixture(scope="module")
def state(museum, few):
    state = Desk(museum, "foundry_switcher", few)
    assert state.comparison
    return state


@pytest.fixture
def fresh(museum, state):
    return Desk(museum, "foundry_switcher", comparison=state.comparison)


def shown(widget):
    """All markup of a widget and of those in it."""
    inside = "".join(shown(child) for child in getattr(widget, "children", ()))
    return inside + (widget.value if isinstance(getattr(widget, "value", None), str) else "")


def screen_of(deck, heading):
    """Show the screen with a heading."""
    deck.go([title for title, _ in deck.screens].index(heading))


def seen(html):
    """Return the sentences of a screen: no table, picture or label of a control."""
    return re.sub(r"<[^>]*>", " ", " ".join(re.findall(r'<p class="hm-large".*?</p>', html)))


def test_every_screen_of_the_presentation_is_made_and_has_its_heading(fresh):
    deck = present(fresh)
    assert deck.back.disabled
    for n, (title, _) in enumerate(deck.screens):
        assert f"<h1>{title}</h1>" in deck.heading.value and f"Screen {n + 1} of {len(deck.screens)}" in deck.place.value
        assert 'role="alert"' not in shown(deck.content), title
        assert len(shown(deck.content)) > 200
        if deck.at < len(deck.screens) - 1:  # the cautions are read, not seen
            assert shown(deck.content).count('class="hm-large"') == 1, title
            assert 3 <= len(seen(shown(deck.content)).split()) <= in_twenty_words.MOST_WORDS, title
        deck.next.click()
    assert deck.at == len(deck.screens) - 1 and deck.next.disabled
    for row in fresh.base.cautions:
        if "every" in row.screens:
            assert row.text[:40] in shown(deck.content)


def test_the_sentences_of_every_unit_are_short_and_a_tie_is_told_as_one(all_units):
    names = ("motion", "comparison", "money", "worst_case", "refusal", "waiting")
    told = [getattr(in_twenty_words, f"{name}_in_brief") for name in names]
    for vehicle, comparison in all_units.comparisons.items():
        for say in told:
            sentence = say(comparison)
            assert len(sentence.split()) <= in_twenty_words.MOST_WORDS and sentence.endswith("."), (vehicle, sentence)
        tied = [str(comparison.path(path).number) for path in comparison.decision.tie_with]
        sentence = in_twenty_words.comparison_in_brief(comparison)
        assert ("tie" in sentence) == bool(tied) and all(number in sentence for number in tied), (vehicle, sentence)
        ways = (in_twenty_words.way_in_brief(strip(comparison, path.path)) for path in comparison.paths)
        assert all(len(sentence.split()) <= in_twenty_words.MOST_WORDS for sentence in ways)


def test_the_motion_on_the_wall_is_the_papers_whole_or_up_to_its_first_comma(fresh):
    paper_says = paper(fresh.comparison, None).motion
    wall = in_twenty_words.motion_in_brief(fresh.comparison)
    assert wall.split(",")[0].removesuffix(".") in paper_says and len(wall) <= len(paper_says)


def test_without_a_path_to_take_no_screen_shows_one(museum, few):
    unknown = museum.with_changes(vehicles=[museum.vehicle("caboose").model_copy(update={"weight": None})])
    late = unknown.with_changes(typical=())
    deck = present(Desk(late, "caboose", draw(late, trials=100)))
    assert deck.state.comparison.choice is None
    headings = [title for title, _ in deck.screens]
    assert "The way to the museum" not in headings and headings[0] == "What we are asked to resolve"
    assert seen(shown(deck.content)).strip().startswith("That the museum")


def test_a_what_if_is_answered_on_its_screen_and_changes_no_other(fresh):
    deck = present(fresh)
    screen_of(deck, "What if the owner moves the deadline?")
    (asked,) = deck.content.children
    before = shown(asked)
    asked.slider.value = -107
    assert "Deadline 30 Jun 2027" in asked.words.value and shown(asked) != before
    assert fresh.inputs == Inputs("foundry_switcher")


def test_idle_crane_hours_cost_what_a_comparison_with_them_says(fresh):
    deck = present(fresh)
    screen_of(deck, "What if the crane stands idle?")
    (asked,) = deck.content.children
    asked.slider.value = 12
    result = fresh.comparison.path("trailer")
    hours = float(result.work.amounts["crane_hours"])
    after = compare_paths(fresh.base, "foundry_switcher", {"crane_hours": hours + 12}, fresh.samples).path("trailer")
    assert f"{after.cost.p80 - result.cost.p80:+,.0f}" in asked.table.value


def test_a_heavier_unit_names_the_gate_that_stops_a_path(fresh):
    deck = present(fresh)
    screen_of(deck, "What if it is heavier than stated?")
    (asked,) = deck.content.children
    assert "It weighs 241,500 lb" in asked.words.value and "✕ blocked" in asked.table.value
    whole = WhatIf(fresh, heavier)
    assert "Stops path" in whole.words.value
    whole.slider.value = 0
    assert "It stops no path" in whole.words.value


def test_a_screen_that_fails_says_so_and_the_next_is_shown(fresh, monkeypatch):
    deck = present(fresh)
    monkeypatch.setattr(deck, "screens", (deck.screens[0], ("Broken", lambda: 1 / 0), deck.screens[-1]))
    deck.next.click()
    assert 'role="alert"' in shown(deck.content) and "division by zero" in shown(deck.content)
    deck.next.click()
    assert 'role="alert"' not in shown(deck.content)


def test_the_schedule_follows_path_and_state(fresh):
    screen = show.schedule.tasks(fresh).body
    assert screen.path.value == fresh.comparison.choice
    bars, orders = screen.bars.value, screen.orders.value
    for task in fresh.base.of_path("tasks", screen.path.value):
        assert task.title.split(",")[0].split("&")[0].split("'")[0] in screen.tasks.value
    screen.path.value = "convert_axles"
    assert screen.bars.value != bars and screen.orders.value == orders
    assert "summer shutdown" in screen.closed.value and "Wheel shop" in screen.closed.value
    fresh.change("Deadline", deadline_moved=-30)
    assert screen.orders.value != orders and "15 Sep 2027" in screen.latest.value


def test_a_scenario_is_saved_loaded_and_compared_on_screen(fresh, tmp_path):
    screen = show_scenarios(fresh, tmp_path / "scenarios")
    assert "Nothing that is shown differs" in screen.words.value
    fresh.change("Crane hours", settings={"crane_hours": 90.0})
    assert "each path alone" in screen.words.value
    screen.name.value = "Crane <b>idle</b>"
    screen.save.click()
    assert "Saved in" in screen.said.value and screen.alert.value == ""
    fresh.reset()
    screen.load.click()
    assert fresh.settings == {"crane_hours": 90.0} and "crane hours 90" in screen.said.value
    screen.left.value = screen.saved.value
    assert "<b>idle</b>" not in screen.table.value and "Crane &lt;b&gt;idle" in screen.table.value


def test_a_scenario_that_cannot_be_saved_or_loaded_is_said_so(fresh, tmp_path):
    (tmp_path / "broken.json").write_text("{")
    screen = show_scenarios(fresh, tmp_path)
    screen.save.click()
    assert "name: found" in screen.alert.value and "Nothing was saved" in screen.alert.value
    screen.load.click()
    assert "broken.json: found no JSON" in screen.alert.value and fresh.settings == {}


def test_every_method_that_names_its_source_is_listed_and_its_example_holds(fresh):
    found = methods.methods()
    assert {"unequal_sling_tensions", "journal"} <= {method.name for method in found}
    assert all(method.source and method.says for method in found)
    assert [method.name for method in found if method.failed] == []
    assert sum(method.tried for method in found) > 100
    assert "all hold." in methods.show_methods(fresh)


def test_an_example_that_does_not_hold_is_said_so(monkeypatch, museum):
    from heritagemove.checks.lift import slings

    monkeypatch.setattr(slings, "weight_force", lambda weight: 2 * weight)
    wrong = [method.name for method in methods.methods() if method.failed]
    assert wrong == ["unequal_sling_tensions"]


def test_the_museum_at_a_glance_names_every_unit_and_path(museum, fresh):
    text = show_museum(fresh)
    assert all(row.vehicle in text for row in museum.vehicles) and text.count("<svg") == len(museum.paths)
