"""Three tasks and two gates, solved by hand: a letter that may be refused, and the consent that its fallback needs.

Calendar of March 2027: the 1st is a Monday, the committee sits on Tuesdays the 2nd and the 16th, offices work Monday to
Friday; in April the committee sits on the 6th and the 20th.

First path: survey (1 day), decision, letter (5 days, refused in 4 of 10), move (2 days).
Fallback: the same survey (5 days if it were done anew), decision with the consent (refused in 4 of 10), haul (3 days).

Decided on the 2nd: survey on the 1st; the letter is worked on from the 3rd to the 9th. Granted: the move is on the 10th
and 11th. Refused: the fallback begins on the 10th. Its survey is done, so the committee of the 16th decides; the haul is
on the 17th to 19th. With the survey anew, from the 10th to the 16th, the committee would decide on 6 April. By the
deadline of 19 March: 0.6 + 0.4 x 0.6 = 0.84.
Decided on the 16th: the letter is heard on the 23rd, the move is on the 24th and 25th: late in every case.

Money: survey 100 and letter 1,000 on finish, move 10,000 half on start; haul 20,000 on finish; 400 a day after the
deadline for the 14 days to the forced scrap; the unit is worth 18,000. Granted: 11,100. Refused: 1,100 + 20,000 = 21,100.
Refused twice: 1,100 + 14 x 400 + 18,000 = 24,700. Mean: 0.6 x 11,100 + 0.24 x 21,100 + 0.16 x 24,700 = 15,676.

A last day to wait of the 8th turns every trial on the 9th; the committee of the 16th decides, and 6 of 10 are in time. The
letter, begun and not finished, is not paid. It is in hand on the 9th: a last day of the 9th turns nobody.

Hedge: let the haul need a permit too (6 days after the decision, 600, half on start). Refused, the permit is worked on from
the 17th to the 24th, the haul on the 25th, 26th and 29th: 10 days late. In time: 0.6. Money: 11,100; with the haul
1,100 + 600 + 20,000 + 10 x 400 = 25,700; refused twice 24,700. Mean: 6,660 + 6,168 + 3,952 = 16,780.
Begun beside the path on the 3rd, the permit is in hand on the 10th, the haul is on the 17th to 19th: 0.84 again. Granted, it
stops on the 10th with half of it paid: 11,400; refused 21,700; refused twice 1,100 + 600 + 23,600 = 25,300. Mean: 6,840 +
5,208 + 4,048 = 16,096: the hedge costs 0.6 x 300 + 0.4 x 600 = 420 and wins 684. Begun on the 9th it is in hand on the 16th,
just in time; the 10th is the day of the turn and too late.

More time: the owner gives 10 days for 500 in half of the cases. The haul of the 29th is then in time and saves 10 x 400:
0.6 + 0.24 / 2 = 0.72 in time, and 0.24 x 4,000 - 500 = 460 saved in half of the cases, 230.
"""

import dataclasses
import datetime as dt

import numpy as np
import pytest

from heritagemove.compare.comparison import price_path
from heritagemove.compare.policy import meetings, more_time
from heritagemove.museum.rows import TABLES
from heritagemove.trials import estimating, simulation
from heritagemove.trials.draws import draw
from heritagemove.trials.playing import Hedge, Playable, Policy, play
from heritagemove.units.units import Quantity

UNIT, FIRST, SECOND = "caboose", "roll_on", "trailer"
#: path, task, after, days, calendar, milestones
TASKS = (
    (FIRST, "survey", (), 1, "office", ()),
    (FIRST, "committee_decision", ("survey",), 1, "committee", ("decision",)),
    (FIRST, "letter", ("committee_decision",), 5, "office", ()),
    (FIRST, "move", ("letter",), 2, "office", ("off_site",)),
    (SECOND, "survey", (), 5, "office", ()),
    (SECOND, "committee_decision", ("survey",), 1, "committee", ("decision",)),
    (SECOND, "haul", ("committee_decision",), 3, "office", ("off_site",)),
)
GATES = ((FIRST, "letter", "letter", 0.4), (SECOND, "consent", "committee_decision", 0.4))
#: path, task, USD, payment
LINES = (
    (FIRST, "survey", 100, "on_finish"),
    (FIRST, "letter", 1_000, "on_finish"),
    (FIRST, "move", 10_000, "half_deposit"),
    (SECOND, "survey", 500, "on_finish"),
    (SECOND, "haul", 20_000, "on_finish"),
)
#: What the fallback needs besides, where something is begun beside the path.
PERMIT = (SECOND, "permit", ("committee_decision",), 6, "office", ())
TRIALS = 20_000


@pytest.fixture(scope="module")
def case(museum):
    return _case(museum, TASKS, LINES)


@pytest.fixture(scope="module")
def with_permit(museum):
    haul = (SECOND, "haul", ("permit",), 3, "office", ("off_site",))
    return _case(museum, (*TASKS[:-1], PERMIT, haul), (*LINES, (SECOND, "permit", 600, "half_deposit")))


def _case(museum, tasks, lines):
    task = next(row for row in museum.of_path("tasks", FIRST) if row.task == "committee_paper")
    gate = next(row for row in museum.of_path("gates", FIRST) if row.gate == "title")
    line = next(row for row in museum.of_path("cost_lines", FIRST) if row.line == "title_and_agreement")
    rate = next(row for row in museum.rates if row.rate == line.rate)
    holdover = next(row for row in museum.rates if row.rate == "holdover")

    def copies(row, changes):
        return tuple(row.model_copy(update=change) for change in changes)

    def sure(amount, **more):
        return {"low": amount, "likely": amount, "high": amount, **more}

    unit = museum.vehicle(UNIT).model_copy(update={"weight_tolerance": Quantity(0.0, "percent")})
    small = estimating.switched(museum, False).with_changes(
        vehicles=tuple(unit if row.vehicle == UNIT else row for row in museum.vehicles),
        deadline=dt.date(2027, 3, 19),
        forced_scrap=dt.date(2027, 4, 2),
        tasks=copies(
            task,
            [
                sure(days, path=p, task=t, title=t, after=after, calendar=on, milestone=marks)
                for p, t, after, days, on, marks in tasks
            ],
        ),
        gates=copies(
            gate, [{"path": p, "gate": g, "title": g, "task": t, "refusal_probability": r} for p, g, t, r in GATES]
        ),
        cost_lines=copies(
            line,
            [{"path": p, "line": t, "task": t, "factor": float(usd), "payment": pay} for p, t, usd, pay in lines],
        ),
        rates=(
            rate.model_copy(update=sure(1.0, price_index=None, tax=None)),
            holdover.model_copy(update=sure(400.0)),
        ),
        risks=(),
    )
    samples = draw(small, trials=TRIALS)
    options = {}
    for path in (FIRST, SECOND):
        result = price_path(small, UNIT, path, None, samples)
        options[path] = Playable(path, result.work, result.findings)
    return small, options, samples


POLICY = Policy(FIRST, {"letter": SECOND}, {SECOND: None})


def _played(case, **changes):
    small, options, samples = case
    found = play(small, dataclasses.replace(POLICY, **changes), options, samples)
    return found, float(np.mean(found.in_time(simulation.day_number(small, small.scenario.deadline))))


def test_the_committee_sits_on_its_tuesdays(case):
    small, _, _ = case
    days = [simulation.date_of(small, int(day)) for day in meetings(small, FIRST)]
    assert days == [dt.date(2027, 3, 2), dt.date(2027, 3, 16)]


def test_dates_and_chances_are_those_worked_out_by_hand(case):
    small, _, _ = case
    found, chance = _played(case)
    assert chance == pytest.approx(0.84, abs=0.01)
    left = {simulation.date_of(small, int(day)) for day in np.unique(found.off_site[found.saved])}
    assert left == {dt.date(2027, 3, 11), dt.date(2027, 3, 19)}
    assert set(found.answers["letter"]) == {simulation.day_number(small, dt.date(2027, 3, 9))}
    assert np.mean(found.turned == "letter") == pytest.approx(0.4, abs=0.001)


def test_decided_a_meeting_later_it_is_late(case):
    small, _, _ = case
    found, chance = _played(case, meeting=simulation.day_number(small, dt.date(2027, 3, 16)))
    assert chance == 0.0
    assert simulation.date_of(small, int(found.off_site.min())) == dt.date(2027, 3, 25)


def test_the_money_is_that_worked_out_by_hand(case):
    found, _ = _played(case)
    np.testing.assert_allclose(np.unique(np.round(found.cost_usd, 6)), [11_100, 21_100, 24_700])
    assert found.cost_usd.mean() == pytest.approx(15_676, abs=120)


def test_what_is_not_in_hand_on_the_last_day_turns(case):
    small, _, _ = case
    on_the_eighth, chance = _played(case, switch=("letter", simulation.day_number(small, dt.date(2027, 3, 8))))
    assert on_the_eighth.late.all() and chance == pytest.approx(0.6, abs=0.01)
    np.testing.assert_allclose(np.unique(np.round(on_the_eighth.cost_usd, 6)), [20_100, 23_700])
    on_the_ninth, _ = _played(case, switch=("letter", simulation.day_number(small, dt.date(2027, 3, 9))))
    assert not on_the_ninth.late.any()


def test_without_a_fallback_a_refusal_declines(case):
    found, chance = _played(case, on_refusal={"letter": None}, then={})
    assert chance == pytest.approx(0.6, abs=0.001)
    np.testing.assert_allclose(np.unique(np.round(found.cost_usd, 6)), [11_100, 24_700])


def test_what_is_begun_beside_the_path_is_worth_what_was_worked_out_by_hand(with_permit):
    without, chance = _played(with_permit)
    assert chance == pytest.approx(0.6, abs=0.001)
    np.testing.assert_allclose(np.unique(np.round(without.cost_usd, 6)), [11_100, 24_700, 25_700])
    beside, chance = _played(with_permit, hedge=Hedge(SECOND, ("permit",)))
    assert chance == pytest.approx(0.84, abs=0.01)
    np.testing.assert_allclose(np.unique(np.round(beside.cost_usd, 6)), [11_400, 21_700, 25_300])
    assert beside.hedge_usd.mean() == pytest.approx(420, abs=5)
    assert (without.cost_usd - beside.cost_usd).mean() == pytest.approx(684, abs=60)


@pytest.mark.parametrize(("begin", "chance"), [(9, 0.84), (10, 0.6)])
def test_the_last_day_to_begin_beside_is_the_one_worked_out_by_hand(with_permit, begin, chance):
    small, _, _ = with_permit
    day = simulation.day_number(small, dt.date(2027, 3, begin))
    found, in_time = _played(with_permit, hedge=Hedge(SECOND, ("permit",), day))
    assert in_time == pytest.approx(chance, abs=0.01)
    assert (found.hedge_usd.max() == 0) == (begin == 10)


def test_more_time_is_worth_what_was_worked_out_by_hand(with_permit):
    small, options, samples = with_permit
    row = {
        "extension": "ten_days", "title": "ten days", "ask_by": "2027-03-10", "days": "10", "price": "500 USD",
        "probability": "0.5", "units": "", "basis": "judgment", "source": "by hand",
    }  # fmt: skip
    longer = small.with_changes(extensions=(TABLES["extensions"].model_validate(row),))
    samples = draw(longer, trials=TRIALS)
    played = play(longer, POLICY, options, samples)
    (found,) = more_time(longer, played, options, samples)
    assert found.chance == pytest.approx(0.72, abs=0.01) and found.pays
    assert found.saves == pytest.approx(230, abs=30)
    closed = longer.with_changes(as_of=dt.date(2027, 3, 11))
    assert more_time(closed, played, options, samples) == ()
