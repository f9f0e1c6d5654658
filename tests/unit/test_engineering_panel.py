"""The engineering screen without a browser: move a widget, read what it shows."""

import re
import sys
from html import escape

import pytest

from heritagemove.answers.weight_flips import WeightFlip, statuses_at
from heritagemove.checks.gates.screening import screen
from heritagemove.panels.engineering import engineering
from heritagemove.panels.state import Desk
from heritagemove.units.units import Quantity

MODULE = sys.modules["heritagemove.panels.engineering"]
HOSTILE = '<img src=x onerror="alert(1)">'


@pytest.fixture(scope="module")
def shared(museum, thousand):
    """One screen for all tests: finding every flip takes long, and Reset restores it byte by byte."""
    return engineering(Desk(museum, "foundry_switcher", thousand), "own_wheels")


@pytest.fixture
def panel(shared):
    yield shared
    shared.path.value = "own_wheels"
    if shared.weight.value != shared.museum.vehicle("foundry_switcher").weight.m_as("lb"):
        shared.reset.click()


@pytest.fixture
def hostile_flip(monkeypatch):
    """One flip with a hostile title, in place of the search for them."""
    flip = WeightFlip("own_wheels", "rail_bridge", HOSTILE, Quantity(235_000.0, "lb"), "open", "fail")
    monkeypatch.setattr(MODULE, "weight_flips", lambda *_: (flip,))


@pytest.fixture
def no_flips(monkeypatch):
    """Leave the search for flips out where a test is not about them."""
    monkeypatch.setattr(MODULE, "weight_flips", lambda *_: ())


def shown(panel):
    return [html.value for html in (panel.says, panel.bars, panel.weights, panel.drawing, panel.table)]


def test_it_begins_with_the_weight_in_the_tables_and_nothing_flipped(museum, panel):
    assert panel.weight.value == museum.vehicle("foundry_switcher").weight.m_as("lb")
    assert "as the tables say" in panel.says.value and 'role="status"' in panel.says.value
    assert panel.alert.value == ""


def test_the_slider_reaches_ten_per_cent_or_the_tolerance_whichever_is_more(museum, no_flips):
    for row in museum.vehicles[-2:]:
        wild = row.model_copy(update={"weight_tolerance": row.weight_tolerance * 5})
        for unit, percent in ((row, 10), (wild, wild.weight_tolerance.m_as("percent"))):
            panel = engineering(Desk(museum.with_changes(vehicles=[unit]), row.vehicle))
            pounds = row.weight.m_as("lb")
            reach = round(pounds * percent / 100)
            assert panel.weight.min <= pounds - reach and panel.weight.max >= pounds + reach
            assert (panel.weight.value - panel.weight.min) % panel.weight.step == 0


def test_a_moved_weight_names_each_gate_that_flips_and_reset_restores_every_byte(panel):
    before, base, named = shown(panel), statuses_at(panel.flips, Quantity(230_000, "lb")), 0
    for flip in [flip for flip in panel.flips if flip.weight.m_as("lb") > 230000]:
        panel.weight.value = int(flip.weight.m_as("lb"))
        # A larger flat car or trailer may bring a gate back to what it was.
        if statuses_at(panel.flips, flip.weight)[flip.path, flip.gate] != base[flip.path, flip.gate]:
            assert escape(flip.title) in panel.says.value, flip
            named += 1
    assert named > 3
    assert panel.box.value == panel.weight.value
    after = shown(panel)
    assert all(new != old for new, old in zip(after[:3], before[:3], strict=True))
    panel.reset.click()
    assert shown(panel) == before


def test_the_gates_are_those_of_a_screen_at_that_weight(museum, panel):
    panel.weight.value = 240000
    found = screen(museum.with_weight("foundry_switcher", 120), "foundry_switcher", "own_wheels").findings
    said = {f.gate.gate: f.status for f in panel.findings}
    assert {f.gate.gate: f.status for f in found if f.gate.gate in said} == said and said["rail_bridge"] == "fail"


@pytest.mark.long
def test_every_unit_and_every_path_is_shown_without_an_alert(museum, thousand, no_flips):
    panel, seen = engineering(Desk(museum, "foundry_switcher", thousand), "own_wheels"), set()
    for row in reversed(museum.vehicles):
        panel.desk.change("Unit", vehicle=row.vehicle)
        panel.follow()
        assert panel.alert.value == "", row.vehicle
        seen.add(panel.drawing.value + panel.bars.value)
    for _, path in reversed(panel.path.options):
        panel.path.value = path
        assert panel.alert.value == "", path
        seen.add(panel.drawing.value + panel.bars.value)
    assert len(seen) == len(museum.vehicles) + len(museum.paths) - 1


def test_pictures_have_a_text_alternative(panel):
    for picture in (panel.bars, panel.drawing):
        assert len(re.search(r'alt="([^"]*)"', picture.value).group(1)) > 40


def test_a_unit_of_unknown_weight_asks_for_it_and_holds_the_slider(museum):
    row = museum.vehicle("coach").model_copy(update={"weight": None})
    panel = engineering(Desk(museum.with_changes(vehicles=[row]), "coach"))
    assert panel.weight.disabled and "weigh it" in panel.says.value and panel.alert.value == ""


def test_a_failure_names_the_input_escaped_and_keeps_the_last_good_answer(monkeypatch, panel):
    before = shown(panel)

    def fail(*_, **__):
        raise ValueError(f"found {HOSTILE}")

    monkeypatch.setattr(MODULE, "unit_drawing", fail)
    panel.weight.value = 240000
    assert 'role="alert"' in panel.alert.value and "Weight [lb] 240000" in panel.alert.value
    assert escape(HOSTILE) in panel.alert.value and HOSTILE not in panel.alert.value
    assert shown(panel) == before
    monkeypatch.undo()
    panel.reset.click()
    assert panel.alert.value == "" and shown(panel) == before


def test_hostile_names_are_escaped_everywhere(museum, hostile_flip):
    hostile = museum.with_changes(
        vehicles=[row.model_copy(update={"name": HOSTILE}) for row in museum.vehicles],
        gates=[row.model_copy(update={"title": HOSTILE, "rule": HOSTILE, "signer": HOSTILE}) for row in museum.gates],
        paths=[row.model_copy(update={"title": HOSTILE}) for row in museum.paths],
    )
    panel = engineering(Desk(hostile, "foundry_switcher"), "own_wheels")
    panel.weight.value = 240000
    assert panel.alert.value == "" and all(HOSTILE not in html for html in shown(panel))
    assert all(escape(HOSTILE) in html.value for html in (panel.says, panel.bars, panel.weights, panel.table))


def test_an_unknown_path_is_answered_with_those_there_are(museum, thousand):
    with pytest.raises(ValueError, match='path: found "barge"; allowed: cut_up'):
        engineering(Desk(museum, "coach", thousand), "barge")


def test_the_way_shows_what_each_owner_asks_and_how_its_bridges_stand(museum, panel):
    legs = {leg.leg: leg for leg in museum.route("rail")}
    notes = [row.note for row in museum.bridges if row.leg in legs and row.note]
    for text in [leg.policy for leg in legs.values()] + notes:
        assert escape(text) in panel.way.value
    assert escape(museum.path("own_wheels").speed) in panel.way.value
    panel.path.value = "decline"
    assert panel.way.value == ""


def test_a_path_of_several_stages_is_drawn_and_its_way_told_stage_by_stage(museum, thousand, no_flips):
    panel = engineering(Desk(museum, "coach", thousand), "transporter")
    drawing = panel.drawing.value
    assert drawing.count("<img") == 2
    assert "Skid aside to the yard: Heavyweight coach 2203 shifted as it stands" in drawing
    assert "By transporter to the museum: Heavyweight coach 2203 on the transporter" in drawing
    assert "Skid aside to the yard: Across the foundry yard" in panel.way.value and "60 ft" in panel.way.value


def test_each_mark_of_the_way_shows_its_gate_with_demand_limit_and_margin(panel):
    panel.path.value = "trailer"
    strip = panel.strip.value
    marks = re.findall(r'<button type="button" aria-label="([^"]*)" aria-describedby="([^"]*)"', strip)
    assert len(marks) > 15 and len({label for label, _ in marks}) == len(marks)
    assert all(f'id="{described}"' in strip for _, described in marks)
    turn = re.search(r"<b>Museum lane: Turns and gate width, [a-z ]+\.</b>.*?</div>", strip)[0]
    assert all(word in turn for word in ("Asked: ", "Limit: ", "Margin: ", "Rule: "))
    assert strip.count("<style>") == 1 and 'role="group"' in strip
