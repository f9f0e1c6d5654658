"""Every screen that a notebook may show: framed, cautioned, and following what is set, or saying why it need not."""

from html import unescape

import pytest

import heritagemove as hm
from heritagemove.panels.all_screens import SCREENS_BY_TOPIC
from heritagemove.panels.frame import ON_MONEY
from heritagemove.panels.state import Desk
from heritagemove.trials.simulation import draw

#: Says of the demo that it has none, whatever is set.
NOTHING_TO_SHOW = ("museum", "starters")
NAMES = [(topic, name) for topic, entries in SCREENS_BY_TOPIC.items() for name in entries]


def said(widget):
    """Return all that a screen shows, its texts, charts and choices."""
    own = [str(getattr(widget, name, "")) for name in ("value", "description", "_options_labels")]
    return " ".join([*own, *(said(child) for child in getattr(widget, "children", ()))])


@pytest.fixture(scope="module")
def two(museum):
    """The demo's museum with the two units that the tests look at: all screens of all units take long."""
    units = [museum.vehicle(unit) for unit in ("foundry_switcher", "caboose")]
    return museum.with_changes(vehicles=units)


@pytest.fixture(scope="module")
def desk(two):
    return Desk(two, "foundry_switcher", draw(two, trials=200))


@pytest.fixture(scope="module")
def framed(desk, tmp_path_factory):
    """Every screen, with what it said before inputs were moved, after, and after another unit was chosen."""
    folder = tmp_path_factory.mktemp("scenarios")
    given = {"scenarios": (folder,), "begin": (folder / "mine",), "choose": (1e6,)}
    frames = {(topic, name): getattr(getattr(hm.show, topic), name)(desk, *given.get(name, ())) for topic, name in NAMES}
    told = [{key: said(frame.body) for key, frame in frames.items()}]
    weight = desk.base.vehicle("foundry_switcher").weight.m_as("short_ton")
    moved = {"crane_hours": 90.0, "haul_distance": 150.0, "axles": 6.0, "weight": weight * 1.04}
    for change in ({"settings": moved, "deadline_moved": -40}, {"vehicle": "caboose", "settings": {}}):
        assert desk.change("Inputs", **change), desk.error
        told.append({key: said(frame.body) for key, frame in frames.items()})
    assert desk.error == ""
    return frames, told


@pytest.mark.parametrize("key", NAMES, ids=".".join)
def test_it_follows_what_is_set_or_says_why_no_input_moves_it(framed, key):
    frames, (before, moved, _) = framed
    assert 'role="alert"' not in said(frames[key])
    follows = frames[key].screen.rests_on == "" and key != NOTHING_TO_SHOW
    assert (before[key] != moved[key]) == follows, frames[key].screen


@pytest.mark.parametrize("name", list(SCREENS_BY_TOPIC["survey"]))
def test_a_survey_is_of_the_unit_that_is_chosen(framed, name):
    _, (before, _, other) = framed
    assert (before["survey", name] == other["survey", name]) == (name == "cautions")


def test_its_head_says_for_which_unit_and_what_is_set_it_holds(framed, desk):
    frames, _ = framed
    assert "Steel cupola caboose 1191" in frames["money", "lines"].head.value
    assert "deadline 5 Sep 2027, 40 days earlier" in frames["money", "lines"].head.value


def test_every_screen_carries_the_cautions_for_those_it_could_hurt(framed, museum):
    for (topic, name), frame in framed[0].items():
        text = unescape(said(frame))
        wanted = {"every", *frame.screen.cautions}
        missing = [row.topic for row in museum.cautions if wanted & set(row.screens) and row.text not in text]
        # The committee's last page has them.
        assert not missing or topic == "committee", (topic, name, missing)
    money = {key for key, frame in framed[0].items() if frame.screen.cautions == ON_MONEY}
    assert {topic for topic, _ in money} >= {"money", "fleet", "funding", "tracking"}


def test_a_screen_that_cannot_follow_keeps_the_last_good_answer_and_says_so(two, monkeypatch):
    desk = Desk(two, "foundry_switcher", draw(two, trials=200))
    frame, other = hm.show.money.risks(desk), hm.show.worth.basis(desk)
    before, basis = frame.body.value, other.body.value

    def broken(*_):
        raise ValueError("<b>no answer</b>")

    monkeypatch.setattr("heritagemove.panels.money_and_risk._risks", broken)
    desk.change("Deadline", deadline_moved=-20)
    assert frame.body.value == before and "last good answer" in frame.head.value
    assert "&lt;b&gt;no answer" in frame.head.value and other.body.value != basis


def test_a_name_that_is_not_there_is_answered_with_those_there_are():
    with pytest.raises(AttributeError, match=r"hm\.show has no 'mony'; there are: museum, survey"):
        _ = hm.show.mony
    with pytest.raises(AttributeError, match=r"hm\.show\.money has no 'line'; there are: lines, contingency"):
        _ = hm.show.money.line
    with pytest.raises(AttributeError, match=r"hm\.chart\.money has no 'line'; there are: lines, contingency"):
        _ = hm.chart.money.line


def test_each_screen_and_each_topic_says_what_it_is():
    assert dir(hm.show) == sorted(SCREENS_BY_TOPIC) and dir(hm.show.money) == sorted(SCREENS_BY_TOPIC["money"])
    for topic, entries in SCREENS_BY_TOPIC.items():
        assert all(f"  {name}: " in repr(getattr(hm.show, topic)) for name in entries)
