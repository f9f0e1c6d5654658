"""Panels without a browser: move a widget, read what it shows."""

import re
from dataclasses import replace
from html import escape

import pytest

from heritagemove import charts, comparison, report
from heritagemove.charts import svg
from heritagemove.drivers import SLIDERS
from heritagemove.panels import explore, explorer, markup, show_cautions, show_paths, show_vehicle

HOSTILE = '<img src=x onerror="alert(1)">'


@pytest.fixture(scope="module")
def museum(museum):
    settings = museum.scenario.simulation.model_copy(update={"trials": 400})
    return museum.with_changes(simulation=settings)


@pytest.fixture
def panel(museum):
    return explore(museum, "foundry_switcher")


def screen(panel):
    return panel.picture.value, panel.table.value, panel.sentence.value


def other_value(slider):
    return slider.max if slider.value != slider.max else slider.min


def test_the_panel_begins_with_what_the_tables_say(museum, panel):
    said = comparison.compare(museum, "foundry_switcher")
    assert panel.settings == {} and panel.comparison.as_json() == said.as_json()
    assert escape(said.sentence) in panel.sentence.value and 'role="status"' in panel.sentence.value
    assert panel.picture.value == markup.picture(charts.cost_against_date(said))
    for result in said.paths:
        assert escape(result.title) in panel.table.value


def test_there_are_the_three_sliders_with_their_units_each_with_a_number_box(museum, panel):
    assert tuple(panel.sliders) == SLIDERS
    for name, slider in panel.sliders.items():
        span = museum.scenario.sliders[name]
        assert f"[{span.unit.replace('_', ' ')}]" in slider.description
        assert slider.min <= span.low and span.high <= slider.max and slider.tooltip
        panel.boxes[name].value = other_value(slider)
        assert slider.value == panel.boxes[name].value and name in panel.settings


def test_the_axle_slider_stands_at_the_units_axles(museum, panel):
    for row in museum.vehicles:
        panel.vehicle.value = row.vehicle
        assert panel.sliders["axles"].value == len(museum.axles_of(row.vehicle))


@pytest.mark.parametrize("name", SLIDERS)
def test_a_moved_slider_changes_picture_and_table_and_reset_restores_every_byte(panel, name):
    before = screen(panel)
    panel.sliders[name].value = other_value(panel.sliders[name])
    after = screen(panel)
    assert after[0] != before[0] and after[1] != before[1]
    assert list(panel.comparison.settings) == [name]
    assert "for every path" in panel.says[name].value
    panel.reset.click()
    assert screen(panel) == before
    assert panel.settings == {} and "for every path" not in panel.says[name].value


@pytest.mark.parametrize("name", SLIDERS)
def test_the_panel_agrees_with_a_comparison_made_without_it(museum, panel, name):
    panel.sliders[name].value = other_value(panel.sliders[name])
    amount = f"{panel.sliders[name].value} {museum.scenario.sliders[name].unit}"
    assert panel.comparison.as_json() == comparison.compare(museum, "foundry_switcher", {name: amount}).as_json()


def test_a_rounding_error_handed_back_by_the_browser_sets_nothing(panel):
    panel._moved("crane_hours", {"old": 12.0, "new": 11.999999999999998})
    assert panel.settings == {}


def test_a_slider_of_half_steps_sets_what_it_shows(museum):
    spans = museum.scenario.sliders
    halves = spans | {"crane_hours": spans["crane_hours"].model_copy(update={"step": 0.5})}
    panel = explore(museum.with_changes(sliders=halves), "foundry_switcher")
    panel.boxes["crane_hours"].value = 20.5
    assert panel.sliders["crane_hours"].value == 20.5
    assert panel.comparison.settings == {"crane_hours": 20.5}


def test_a_slider_reaches_as_far_as_the_tables_amount(museum):
    spans = museum.scenario.sliders
    short = spans | {"axles": spans["axles"].model_copy(update={"low": 20, "high": 30})}
    panel = explore(museum.with_changes(sliders=short), "foundry_switcher")
    assert panel.sliders["axles"].value == panel.boxes["axles"].value == 4
    assert panel.settings == {} and panel.sliders["axles"].max == 30


def test_another_unit_starts_from_its_own_tables(museum, panel):
    panel.sliders["axles"].value = other_value(panel.sliders["axles"])
    pictures = {}
    for row in reversed(museum.vehicles):
        panel.vehicle.value = row.vehicle
        assert panel.settings == {} and panel.alert.value == ""
        assert escape(row.name) in panel.sentence.value
        pictures[row.vehicle] = panel.picture.value
    assert len(set(pictures.values())) == len(museum.vehicles)


def test_draws_are_made_once(monkeypatch, panel):
    monkeypatch.setattr(explorer.simulation, "draw", lambda *_: pytest.fail("drawn again"))
    panel.sliders["axles"].value = other_value(panel.sliders["axles"])
    panel.vehicle.value = panel.vehicle.options[-1][1]
    assert panel.alert.value == ""


def test_a_failure_names_the_input_escaped_and_keeps_the_last_good_answer(monkeypatch, panel):
    before = screen(panel)

    def fail(*_):
        raise ValueError(f"found {HOSTILE}")

    monkeypatch.setattr(explorer, "compare", fail)
    slider = panel.sliders["crane_hours"]
    slider.value = other_value(slider)
    assert 'role="alert"' in panel.alert.value and escape(HOSTILE) in panel.alert.value
    assert slider.description in panel.alert.value and HOSTILE not in panel.alert.value
    assert "last good answer" in panel.alert.value and screen(panel) == before
    assert panel.write.disabled
    monkeypatch.undo()
    panel.reset.click()
    assert panel.alert.value == "" and not panel.write.disabled and screen(panel) == before


def test_the_button_writes_what_is_on_screen_and_never_over_another_page(monkeypatch, tmp_path, panel):
    monkeypatch.chdir(tmp_path)
    panel.sliders["axles"].value = other_value(panel.sliders["axles"])
    panel.write.click()
    first = tmp_path / "foundry_switcher.html"
    assert str(first) in panel.written.value
    assert first.read_text(encoding="utf-8") == report.render(panel.comparison)
    panel.write.click()
    assert str(tmp_path / "foundry_switcher-2.html") in panel.written.value
    assert first.read_text(encoding="utf-8") == report.render(panel.comparison)


def test_a_page_that_cannot_be_written_is_said_so(monkeypatch, panel):
    def fail(*_):
        raise OSError("no space left")

    monkeypatch.setattr(explorer.report, "write_report", fail)
    panel.write.click()
    assert "no space left" in panel.alert.value and panel.written.value == ""
    assert not panel.write.disabled


def test_hostile_names_are_escaped_everywhere(museum):
    tables = {
        "vehicles": [row.model_copy(update={"name": HOSTILE, "hazards": HOSTILE}) for row in museum.vehicles],
        "paths": [row.model_copy(update={"title": HOSTILE, "summary": HOSTILE}) for row in museum.paths],
        "cautions": [row.model_copy(update={"text": HOSTILE, "topic": HOSTILE}) for row in museum.cautions],
        "survey": [row.model_copy(update={"place": HOSTILE, "found": HOSTILE}) for row in museum.survey],
    }
    hostile = museum.with_changes(**tables)
    panel = explore(hostile, "foundry_switcher")
    shown = [panel.picture.value, panel.table.value, panel.sentence.value, panel.cautions.value, panel.alert.value]
    shown += [show(hostile).data for show in (show_paths, show_cautions)] + [show_vehicle(hostile, "foundry_switcher").data]
    assert all("onerror=\"" not in text and "<img src=x" not in text for text in shown)
    assert all(escape(HOSTILE) in text for text in shown[1:4] + shown[5:])


def test_reasons_and_flips_are_escaped(panel):
    paths = tuple(replace(r, reasons=(HOSTILE,), flips=HOSTILE) for r in panel.comparison.paths)
    text = markup.paths_table(replace(panel.comparison, paths=paths))
    assert HOSTILE not in text and text.count(escape(HOSTILE)) == 2 * len(paths)


def test_the_chart_is_an_image_with_a_text_alternative_on_white(panel):
    alt = re.search(r'alt="([^"]*)"', panel.picture.value).group(1)
    assert alt.startswith("Path ") or alt.startswith("No path ")
    assert "background:white" in panel.picture.value and "width=" in panel.picture.value
    assert svg(panel.chart)


def test_every_screen_carries_the_caution_of_every_screen(museum, panel):
    every = [row.text for row in museum.cautions if "every" in row.screens]
    assert every
    tables = (show_paths(museum), show_vehicle(museum, "coach"), show_cautions(museum))
    for text in (panel.cautions.value, *(shown.data for shown in tables)):
        assert all(escape(caution) in text for caution in every)
    for row in museum.cautions:
        if set(row.screens) & {"rail", "road", "lifting"}:
            assert escape(row.text) in panel.cautions.value


def test_the_vehicle_is_shown_with_its_axles_and_what_is_unknown(museum):
    for row in museum.vehicles:
        text = show_vehicle(museum, row.vehicle).data
        assert escape(row.name) in text
        axles = text.split("Axles from the front")[1].split("</table>")[0]
        assert axles.count("<tr>") == 1 + len(museum.axles_of(row.vehicle))
        assert "None" not in text


def test_an_unknown_unit_is_answered_with_those_there_are(museum):
    with pytest.raises(ValueError, match='vehicle: found "swicher"; allowed: foundry_switcher'):
        explore(museum, "swicher")
