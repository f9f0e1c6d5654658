"""The day off the site and the day of arrival are two dates, and the owner's charge ends on the first."""

import datetime as dt

import numpy as np
import pytest

from heritagemove.compare.comparison import price_path
from heritagemove.trials import simulation

TRIALS = 200


def with_tasks(museum, path, **by_task):
    """Return a museum in which some tasks of a path have other values."""
    rows = [
        row.model_copy(update=by_task[row.task]) if row.path == path and row.task in by_task else row for row in museum.tasks
    ]
    return museum.with_changes(tasks=rows)


def result_of(museum, path, vehicle="caboose"):
    return price_path(museum, vehicle, path, {}, simulation.draw(museum, trials=TRIALS))


def test_a_unit_is_off_the_site_on_the_first_day_of_its_haul_and_arrives_on_the_last(museum):
    ten = {"low": 10.0, "likely": 10.0, "high": 10.0, "per": (), "extra_days": (), "basis": "quote"}
    trials = result_of(with_tasks(museum, "roll_on", haul=ten), "roll_on").trials
    assert (trials.arrived - trials.off_site >= 9).all()
    assert (trials.arrived == trials.dates.finish["haul"] - 1).all()
    assert (trials.off_site >= trials.dates.ready["haul"]).all()


def test_the_owner_charges_for_no_day_on_the_way(museum):
    on_the_way = {"low": 60.0, "likely": 60.0, "high": 60.0, "per": (), "extra_days": (), "basis": "quote"}
    long = result_of(with_tasks(museum, "roll_on", haul=on_the_way), "roll_on")
    assert (long.arrived.p50 - long.off_site.p50).days > 60
    assert long.trials.holdover_usd == pytest.approx(result_of(museum, "roll_on").trials.holdover_usd)


def test_a_path_that_ends_at_no_museum_never_arrives(museum):
    found = result_of(museum, "idler_trucks")
    assert found.off_site is not None and found.arrived is None and found.trials.arrived is None


def test_a_unit_whose_last_day_on_site_is_the_deadline_is_in_time_however_long_the_way(museum):
    found = result_of(museum, "trailer")
    day = int(np.max(found.trials.off_site))
    late = museum.with_changes(deadline=museum.scenario.start + dt.timedelta(days=day))
    assert result_of(late, "trailer").chance_by_deadline == 1.0
