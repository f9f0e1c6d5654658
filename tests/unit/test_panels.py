"""Panels without a browser: move a widget, read what it shows."""

import asyncio
import gc
import os
import re
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from html import escape

import pytest

from heritagemove import charts
from heritagemove.charts import svg
from heritagemove.compare import comparison
from heritagemove.compare.inputs import Inputs
from heritagemove.compare.scenario_files import save_scenario
from heritagemove.museum.drivers import SLIDERS
from heritagemove.panels import controls, explorer, markup
from heritagemove.panels import state as state_module
from heritagemove.panels.all_screens import show_topics
from heritagemove.panels.explorer import explore
from heritagemove.panels.screens import show_cautions, show_paths, show_vehicle
from heritagemove.panels.state import Desk
from heritagemove.trials.simulation import draw

HOSTILE = '<img src=x onerror="alert(1)">'


@pytest.fixture(scope="module")
def museum(museum):
    settings = museum.scenario.simulation.model_copy(update={"trials": 400})
    return museum.with_changes(simulation=settings)


@pytest.fixture(scope="module")
def samples(museum):
    return draw(museum)


@pytest.fixture(scope="module")
def first(museum, samples):
    return comparison.compare_paths(museum, "foundry_switcher", samples=samples)


@pytest.fixture
def panel(museum, samples, first):
    return looked_at(explore(Desk(museum, "foundry_switcher", comparison=first)))


def looked_at(panel):
    """Unfold the decision in full, the budget and all of every path."""
    for part in range(3):
        panel.details.selected_index = part
    return panel


def screen(panel):
    return panel.picture.value, panel.table.value, panel.sentence.value


def other_value(slider):
    return slider.max if slider.value != slider.max else slider.min


def test_the_panel_begins_with_what_the_tables_say(museum, samples, panel):
    said = comparison.compare_paths(museum, "foundry_switcher", samples=samples)
    assert panel.state.settings == {} and panel.comparison.as_json() == said.as_json()
    assert escape(said.sentence) in panel.sentence.value and 'role="status"' in panel.brief.value
    assert panel.picture.value == markup.picture(charts.at_a_glance(said), grows=True)
    for result in said.paths:
        assert escape(result.title) in panel.table.value


def test_what_unfolds_is_made_when_somebody_looks_at_it_and_waits_until_a_slider_rests(museum, first, monkeypatch):
    panel = explore(Desk(museum, "foundry_switcher", comparison=first))
    panel.controls["crane_hours"].box.value = "33"
    assert (panel.table.value, panel.sentence.value, panel.budget.value) == ("", "", "")
    told = looked_at(panel).table.value
    assert "<table" in told and "<table" in panel.budget.value and panel.sentence.value
    panel.state.change("Crane hours", moving=True, settings={"crane_hours": 60.0})
    assert panel.table.value == told and "60" in panel.controls["crane_hours"].box.value
    panel.state.rest()
    assert panel.table.value != told


def test_each_slider_has_a_number_box_a_unit_a_range_and_a_tooltip_that_says_what_it_drives(museum, panel):
    assert tuple(panel.controls) == (*SLIDERS, "weight", "weight_tolerance", "start_moved", "deadline_moved", "budget_usd")
    for name, control in panel.controls.items():
        assert control.box.description == f"{control.span.label} [{control.span.unit}]"
        assert control.slider.tooltip == control.box.tooltip and len(control.slider.tooltip) > 20
        assert control.slider.min < control.slider.max and control.slider.step > 0
        if name in SLIDERS:
            span = museum.scenario.sliders[name]
            assert {"crane_hour": "h"}.get(span.unit, span.unit) == control.span.unit
            assert control.slider.min <= span.low and span.high <= control.slider.max


def test_slider_and_number_box_move_each_other(panel):
    control = panel.controls["crane_hours"]
    control.box.value = "33"
    assert control.slider.value == 33 and panel.state.settings == {"crane_hours": 33.0}
    control.slider.value = 44
    assert control.box.value == "44" and panel.state.settings == {"crane_hours": 44.0}
    assert type(control.slider.value) is int and "set to 44 h; moves 7 and 8" in control.says.value


@pytest.mark.parametrize(
    ("name", "text", "shown", "amount"),
    [("crane_hours", "12.7", "12.7", 12.7), ("crane_hours", "12 1/2 h", "12.5", 12.5),
     ("haul_distance", "200 km", "124.274", 124.274), ("haul_distance", "77,7", "77.7", 77.7),
     ("weight", "104 tonne", "229,281", 114.6404), ("crane_hours", "1,000", "1,000", 1000.0)],
)  # fmt: skip
def test_a_box_takes_decimals_fractions_and_any_unit_and_echoes_what_it_read(panel, name, text, shown, amount):
    control = panel.controls[name]
    control.box.value = text
    assert panel.alert.value == "" and control.box.value == shown and f"set to {shown} " in control.says.value
    assert panel.state.settings == {name: pytest.approx(amount, rel=1e-5)}
    assert (control.slider.value - control.slider.min) % control.slider.step == 0, "or the browser rounds it and sets that"


@pytest.mark.parametrize("text", ["abc", "5 kg", "1e3", "", "nan", "12 1/0", HOSTILE])
def test_what_is_no_number_is_refused_in_words_and_the_last_good_value_stays(panel, text):
    control = panel.controls["crane_hours"]
    control.box.value = "33"
    before = screen(panel)
    control.box.value = text
    assert "allowed: " in panel.alert.value and HOSTILE not in panel.alert.value
    assert control.box.value == "33" and screen(panel) == before and panel.state.settings == {"crane_hours": 33.0}


def test_a_number_beyond_the_slider_widens_it_and_one_that_cannot_be_is_refused(panel):
    control = panel.controls["crane_hours"]
    control.box.value = "500"
    assert (control.slider.value, control.slider.max) == (500, 500) and panel.comparison.settings == {"crane_hours": 500.0}
    control.box.value = "-5"
    assert (control.box.value, control.slider.value) == ("500", 500) and panel.comparison.settings == {"crane_hours": 500.0}
    assert 'role="alert"' in panel.alert.value and "Crane hours -5 h" in panel.alert.value


def test_a_slider_that_no_path_of_the_unit_counts_is_greyed_with_the_reason(museum, samples):
    without = [row for row in museum.cost_lines if "crane_hours" not in (row.driver, row.times)]
    rates = [row.model_copy(update={"least": None, "least_for": None}) if row.least_for == "crane_hours" else row
             for row in museum.rates]  # fmt: skip
    fewer = museum.with_changes(cost_lines=tuple(without), rates=tuple(rates))
    control = explore(Desk(fewer, "foundry_switcher", samples)).controls["crane_hours"]
    assert control.slider.disabled and control.box.disabled
    assert "no path of this unit counts crane hours" in control.says.value


def test_undo_and_redo_step_through_every_input_and_a_drag_is_one_step(panel, monkeypatch):
    clock = iter(range(0, 10_000, 10))
    monkeypatch.setattr(state_module.time, "monotonic", lambda: next(clock))
    assert panel.undo.disabled and panel.redo.disabled
    begun, hours = screen(panel), panel.controls["crane_hours"]
    hours.box.value, panel.controls["deadline_moved"].box.value = "33", "-10"
    panel.undo.click()
    assert panel.state.inputs.deadline_moved == 0 and panel.state.settings == {"crane_hours": 33.0}
    panel.undo.click()
    assert screen(panel) == begun and panel.undo.disabled
    panel.redo.click(), panel.redo.click()
    assert panel.state.inputs.deadline_moved == -10 and hours.box.value == "33" and panel.redo.disabled
    monkeypatch.setattr(state_module.time, "monotonic", lambda: 1e6)
    for value in (40, 50, 60):
        hours.slider.value = value
    panel.undo.click()
    assert panel.state.settings == {"crane_hours": 33.0} and panel.redo.disabled is False
    hours.box.value = "20"
    assert panel.redo.disabled


def test_one_input_is_brought_back_and_the_others_stay(panel):
    hours, deadline = panel.controls["crane_hours"], panel.controls["deadline_moved"]
    begun = hours.box.value
    assert hours.back.disabled and deadline.back.disabled
    hours.box.value, deadline.box.value = "33", "-10"
    hours.back.click()
    assert (hours.box.value, deadline.box.value) == (begun, "-10") and hours.back.disabled
    assert panel.state.settings == {} and panel.state.inputs.deadline_moved == -10
    deadline.back.click()
    assert panel.state.inputs == Inputs("foundry_switcher")
    panel.undo.click()
    assert panel.state.inputs.deadline_moved == -10


def test_what_was_kept_under_a_name_stands_beside_what_is_set(museum, samples, first, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    for hours in (50, 60, 70):
        path = save_scenario("scenarios", f"Crane {hours} h", museum, Inputs("foundry_switcher", {"crane_hours": hours}))
        os.utime(path, (hours, hours))
    panel = explore(Desk(museum, "foundry_switcher", comparison=first))
    kept, drawn = panel.compared, panel.picture.value
    panel.controls["crane_hours"].box.value = "80"
    kept.ask.click()
    kept.name.value = "Crane 80 h"
    kept.keep.click()
    assert [letter.tooltip for letter in kept.letters] == [f"Show Crane {n} h beside what is set" for n in (60, 70, 80)]
    panel.reset.click()
    kept.letters[2].value = True
    assert "C Crane 80 h" in panel.rows.value and "C, Crane 80 h: Foundry switcher 7: path" in panel.picture.value
    alone = comparison.compare_paths(museum, "foundry_switcher", {"crane_hours": 80.0}, samples)
    assert kept.answers()["C"][1].as_json() == alone.as_json()
    kept.letters[2].value = False
    assert panel.picture.value == drawn and kept.naming.layout.display == "none"
    panel.vehicle.value = museum.vehicles[1].vehicle
    assert all(letter.disabled for letter in kept.letters), "a scenario of another unit is not offered"


def test_the_rows_say_what_the_last_change_moved_by_arrow_and_words(panel):
    assert "▲" not in panel.rows.value and "▼" not in panel.rows.value
    panel.controls["crane_hours"].box.value = "60"
    rows = {int(re.search(r"<b>(\d+)</b>", row)[1]): row for row in panel.rows.value.split("<tr>")[2:]}
    assert "▲" in rows[8] and "thousand" in rows[8] and "▲" not in rows[1]
    panel.controls["deadline_moved"].box.value = "-120"
    assert "▼" in panel.rows.value and "in 100" in panel.rows.value
    panel.reset.click()
    assert "▲" not in panel.rows.value and "▼" not in panel.rows.value


def test_the_axle_slider_stands_at_the_units_axles(museum, panel):
    for row in museum.vehicles[:2]:
        panel.vehicle.value = row.vehicle
        assert panel.controls["axles"].slider.value == len(museum.axles_of(row.vehicle))


@pytest.mark.parametrize("name", ["crane_hours", "haul_distance", "deadline_moved"])
def test_a_moved_slider_changes_picture_and_table_and_reset_restores_every_byte(panel, name):
    before = screen(panel)
    panel.controls[name].slider.value = other_value(panel.controls[name].slider)
    after = screen(panel)
    assert after[0] != before[0] and after[1] != before[1]
    assert "set to" in panel.controls[name].says.value
    panel.reset.click()
    assert screen(panel) == before
    assert panel.state.inputs == Inputs("foundry_switcher")
    assert all("set to" not in control.says.value for control in panel.controls.values())


def test_a_budget_says_how_likely_it_is_enough_and_draws_nothing_again(panel, monkeypatch):
    monkeypatch.setattr(explorer.charts, "at_a_glance", lambda *_: pytest.fail("drawn again"))
    panel.controls["budget_usd"].slider.value = 150_000
    assert "A budget of 150,000 USD is enough for path" in panel.controls["budget_usd"].says.value
    assert panel.alert.value == ""


def test_the_panel_agrees_with_a_comparison_made_without_it(museum, panel):
    control = panel.controls["haul_distance"]
    control.slider.value = other_value(control.slider)
    amount = f"{control.slider.value} {museum.scenario.sliders['haul_distance'].unit}"
    alone = comparison.compare_paths(museum, "foundry_switcher", {"haul_distance": amount})
    assert panel.comparison.as_json() == alone.as_json()


def test_the_switch_of_the_estimating_error_moves_the_table_that_says_which_it_is(panel):
    assert panel.error.value and "Spread with estimating error" in panel.table.value
    before = panel.comparison.path("trailer").cost
    panel.error.value = False
    after = panel.comparison.path("trailer").cost
    assert "Spread without estimating error" in panel.table.value and after.p90 - after.p10 < before.p90 - before.p10
    panel.reset.click()
    assert panel.error.value and panel.comparison.path("trailer").cost == before


def test_a_rounding_error_handed_back_by_the_browser_sets_nothing(panel):
    panel.controls["crane_hours"]._slid({"old": 12.0, "new": 11.999999999999998})
    assert panel.state.settings == {}


def test_a_slider_of_half_steps_sets_what_it_shows(museum, samples):
    spans = museum.scenario.sliders
    halves = spans | {"crane_hours": spans["crane_hours"].model_copy(update={"step": 0.5})}
    panel = explore(Desk(museum.with_changes(sliders=halves), "foundry_switcher", samples))
    panel.controls["crane_hours"].box.value = "20.5"
    assert panel.controls["crane_hours"].slider.value == 20.5
    assert panel.comparison.settings == {"crane_hours": 20.5}


def test_a_slider_reaches_as_far_as_the_tables_amount(museum, samples):
    spans = museum.scenario.sliders
    short = spans | {"axles": spans["axles"].model_copy(update={"low": 20, "high": 30})}
    control = explore(Desk(museum.with_changes(sliders=short), "foundry_switcher", samples)).controls["axles"]
    assert (control.slider.value, control.box.value) == (4, "4") and control.slider.max == 30
    assert control.state.settings == {}


def test_two_panels_of_one_state_follow_each_other(museum, panel):
    other = looked_at(explore(panel.state))
    panel.controls["crane_hours"].slider.value = 70
    assert other.controls["crane_hours"].box.value == "70" and screen(other) == screen(panel)
    other.vehicle.value = "coach"
    assert panel.vehicle.value == "coach" and screen(other) == screen(panel)


def test_another_unit_starts_from_its_own_tables_and_keeps_the_museums_dates(museum, panel):
    panel.controls["deadline_moved"].slider.value = -10
    panel.controls["axles"].slider.value = other_value(panel.controls["axles"].slider)
    pictures = {panel.picture.value}
    for row in museum.vehicles[2:4]:
        panel.vehicle.value = row.vehicle
        assert panel.state.settings == {} and panel.alert.value == ""
        assert panel.state.inputs.deadline_moved == -10
        assert escape(row.name) in panel.sentence.value
        pictures.add(panel.picture.value)
    assert len(pictures) == 3


def test_draws_are_made_once(monkeypatch, panel):
    monkeypatch.setattr(state_module.simulation, "draw", lambda *_, **__: pytest.fail("drawn again"))
    panel.controls["crane_hours"].slider.value = 77
    panel.vehicle.value = panel.vehicle.options[-1][1]
    assert panel.alert.value == ""


def test_a_slider_that_moves_plays_the_decision_again_and_it_is_searched_when_it_rests(monkeypatch, museum, samples):
    async def slide():
        panel = explore(Desk(museum, "caboose", samples))
        for hours in (31, 32, 33):
            panel.controls["crane_hours"].slider.value = hours
            assert panel.comparison.decision.replayed
        await asyncio.sleep(0.05)
        assert panel.comparison.decision.replayed  # the last move is too young
        await asyncio.sleep(0.3)
        return panel

    monkeypatch.setattr(controls, "_RESTS_AFTER", 0.2)
    monkeypatch.setattr(controls, "running_loop", asyncio.get_running_loop)
    with ThreadPoolExecutor(1) as thread:  # where no browser's loop runs
        panel = thread.submit(asyncio.run, slide()).result()
    fresh = comparison.compare_paths(museum, "caboose", panel.state.settings, samples)
    assert not panel.comparison.decision.replayed and panel.comparison.sentence == fresh.sentence
    assert escape(fresh.sentence) in looked_at(panel).sentence.value


def test_a_failure_names_the_input_escaped_and_keeps_the_last_good_answer(monkeypatch, panel):
    before = screen(panel)

    def fail(*_):
        raise ValueError(f"found {HOSTILE}")

    monkeypatch.setattr(state_module, "answer", fail)
    control = panel.controls["crane_hours"]
    control.slider.value = other_value(control.slider)
    assert 'role="alert"' in panel.alert.value and escape(HOSTILE) in panel.alert.value
    assert control.span.label in panel.alert.value and HOSTILE not in panel.alert.value
    assert "last good answer" in panel.alert.value and screen(panel) == before
    monkeypatch.undo()
    panel.reset.click()
    assert panel.alert.value == "" and screen(panel) == before


@pytest.mark.long
def test_further_moves_leave_no_more_objects_behind_than_the_first(panel):
    """A thousand moves are measured in the benchmark."""

    def objects_after(moves):
        for n in range(moves):
            panel.controls["crane_hours"].slider.value = 20 + n
        gc.collect()
        return len(gc.get_objects())

    objects_after(3)
    before = objects_after(4)
    assert objects_after(8) - before < 200


def test_the_button_writes_what_is_on_screen_and_never_over_another_page(monkeypatch, tmp_path, panel):
    def write(shown, path, scenarios):
        assert scenarios == {}
        (tmp_path / path).write_text(shown.sentence)
        return path

    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(explorer.page, "write_report", write)
    panel.controls["axles"].slider.value = other_value(panel.controls["axles"].slider)
    panel.write.click()
    first = tmp_path / "foundry_switcher.html"
    assert str(first) in panel.written.value and first.read_text() == panel.comparison.sentence
    first.write_text("kept")
    panel.write.click()
    assert str(tmp_path / "foundry_switcher-2.html") in panel.written.value
    assert first.read_text() == "kept"


def test_a_page_that_cannot_be_written_is_said_so(monkeypatch, panel):
    def fail(*_, **__):
        raise OSError("no space left")

    monkeypatch.setattr(explorer.page, "write_report", fail)
    panel.write.click()
    assert "no space left" in panel.alert.value and panel.written.value == ""


def test_hostile_names_are_escaped_everywhere(museum):
    tables = {
        "vehicles": [row.model_copy(update={"name": HOSTILE, "hazards": HOSTILE}) for row in museum.vehicles],
        "paths": [row.model_copy(update={"title": HOSTILE, "summary": HOSTILE}) for row in museum.paths],
        "cautions": [row.model_copy(update={"text": HOSTILE, "topic": HOSTILE}) for row in museum.cautions],
        "survey": [row.model_copy(update={"place": HOSTILE, "found": HOSTILE}) for row in museum.survey],
    }
    hostile = museum.with_changes(**tables)
    frame = show_topics.decision.paths(Desk(hostile, "foundry_switcher"))
    panel = looked_at(frame.body)
    shown = [panel.picture.value, panel.table.value, panel.sentence.value, frame.cautions.value, panel.alert.value]
    shown += [show(panel.state) for show in (show_paths, show_cautions, show_vehicle)]
    assert all("onerror=\"" not in text and "<img src=x" not in text for text in shown)
    assert all(escape(HOSTILE) in text for text in shown[1:4] + shown[5:])


def test_reasons_and_flips_are_escaped(panel):
    paths = tuple(replace(r, reasons=(HOSTILE,), flipping=lambda: HOSTILE) for r in panel.comparison.paths)
    text = markup.paths_table(replace(panel.comparison, paths=paths))
    assert HOSTILE not in text and text.count(escape(HOSTILE)) == 2 * len(paths)


def test_the_chart_is_an_image_with_a_text_alternative_on_white(panel):
    alt = re.search(r'alt="([^"]*)"', panel.picture.value).group(1)
    assert alt.startswith("Foundry switcher 7: path ")
    assert "background:white" in panel.picture.value and "width=" in panel.picture.value
    assert svg(panel.chart)


def test_the_vehicle_is_shown_with_its_axles_and_what_is_unknown(museum, samples):
    for row in museum.vehicles:
        text = show_vehicle(Desk(museum, row.vehicle, samples))
        assert escape(row.name) in text
        axles = text.split("Axles from the front")[1].split("</table>")[0]
        assert axles.count("<tr>") == 1 + len(museum.axles_of(row.vehicle))
        assert "None" not in text
