"""Whatever was asked before, the answer is the one that is given afresh, to the last digit."""

import dataclasses
import datetime as dt
import random

import numpy as np
import pint
import pytest
from pydantic import BaseModel

from heritagemove.compare.comparison import compare_paths, price_path
from heritagemove.compare.inputs import Inputs, answer, as_set
from heritagemove.files.cells import MonthDay
from heritagemove.museum.memo import Made, Memo, afresh
from heritagemove.museum.museum import Museum
from heritagemove.trials.draws import Samples, draw

#: Paths of every kind of carriage, so that a sequence stays quick.
PATHS = ("own_wheels", "freight_wheelsets", "flat_car", "trailer", "roll_on", "decline")
UNITS = ("foundry_switcher", "consolidation", "boxcar")
TRIALS = 150
MOVES = 20
#: Columns that a sequence edits, by table; a number grows or shrinks, a date moves.
EDITED = {
    "rates": ("likely",), "tasks": ("high",), "risks": ("probability", "cost_high", "delay_high"), "quantities": ("high",),
    "gates": ("refusal_probability",), "cost_lines": ("factor",), "legs": ("length", "curve", "clear_height"),
    "bridges": ("normal", "maximum"), "trailers": ("payload", "tare"), "cranes": ("capacity",), "flat_cars": ("load_limit",),
    "limits": ("value",), "engines": ("weight",), "axles": ("load",), "calendars": ("last",),
    "vehicles": ("weight", "width", "insured_value"), "pieces": ("weight", "underside"), "journal_ratings": ("axle_rating",),
}  # fmt: skip


@pytest.fixture(scope="module")
def small(museum):
    kept = {t: [row for row in getattr(museum, t) if row.path in PATHS] for t in ("paths", "tasks", "cost_lines", "gates")}
    kept["risks"] = [row for row in museum.risks if row.path in PATHS]
    kept["vehicles"] = [row for row in museum.vehicles if row.vehicle in UNITS]
    return museum.with_changes(**kept)


def edited(museum, chance):
    table = chance.choice(list(EDITED))
    rows, column = list(getattr(museum, table)), chance.choice(EDITED[table])
    number = chance.randrange(len(rows))
    before = getattr(rows[number], column)
    if isinstance(before, MonthDay):
        after = MonthDay(before.month, chance.choice((10, 20)))
    elif isinstance(before, dt.date):
        after = before + dt.timedelta(days=chance.choice((-10, 10)))
    else:
        after = before and before * chance.choice((0.9, 1.1))
    if column in ("likely", "high", "cost_high", "delay_high") and after is not None:
        after = max(after, before)  # in order with the others
        rows[number] = rows[number].model_copy(update={"high": after} if column == "likely" else {})
    if "probability" in column and after is not None:
        after = min(after, 1.0)
    rows[number] = rows[number].model_copy(update={column: after})
    return museum.with_changes(**{table: rows})


def moved(museum, inputs, chance):
    """Return the museum and the inputs after one move of any kind."""
    amounts = {"crane_hours": (10.0, 24.0, 60.0), "haul_distance": (40.0, 160.0, 330.0), "axles": (4.0, 6.0, 8.0),
               "weight": (55.0, 90.0, 140.0)}  # fmt: skip
    kinds = {"start_moved": (0, 45, 92), "deadline_moved": (0, 150, -20), "weight_tolerance": (None, 0.0, 4.0, 12.0),
             "budget_usd": (None, 1e5)}  # fmt: skip
    what = chance.choice((*amounts, *kinds, "vehicle", "nothing", "rows", "rows", "rows"))
    if what == "rows":
        return edited(museum, chance), inputs
    if what == "vehicle":
        return museum, dataclasses.replace(inputs, vehicle=chance.choice(UNITS))
    if what == "nothing":
        return museum, dataclasses.replace(inputs, settings={})
    if what in kinds:
        return museum, dataclasses.replace(inputs, **{what: chance.choice(kinds[what])})
    return museum, dataclasses.replace(inputs, settings={**inputs.settings, what: chance.choice(amounts[what])})


def content(thing):
    """Return everything an answer says in a form that is compared digit by digit."""
    if isinstance(thing, np.ndarray):
        return thing.dtype.str, thing.shape, thing.tobytes()
    if isinstance(thing, pint.Quantity):
        return content(thing.magnitude), str(thing.units)
    if isinstance(thing, Made | Museum | Samples):
        return None
    if isinstance(thing, BaseModel):
        return [content(value) for value in vars(thing).values()]
    if dataclasses.is_dataclass(thing):
        told = {"deciding": "decision", "flipping": "flips"}
        names = (told.get(field.name, field.name) for field in dataclasses.fields(thing) if field.name != "made")
        return {name: content(getattr(thing, name)) for name in names}
    if isinstance(thing, dict):
        return {name: content(value) for name, value in thing.items()}
    if isinstance(thing, tuple | list):
        return [content(each) for each in thing]
    return thing


def differing(one, other, where="answer"):
    """Name the first place where two answers differ; blank where none."""
    if isinstance(one, dict) and isinstance(other, dict) and set(one) == set(other):
        return next(filter(None, (differing(one[name], other[name], f"{where}.{name}") for name in one)), "")
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        pairs = enumerate(zip(one, other, strict=True))
        return next(filter(None, (differing(a, b, f"{where}[{n}]") for n, (a, b) in pairs)), "")
    return "" if one == other else f"{where}: {one!r:.200} is not {other!r:.200}"


def last_of_sequence(museum, seed, memo):
    """Ask a sequence of moves with one memo; return the last answer, and the same asked afresh."""
    chance = random.Random(seed)
    inputs, samples = Inputs(UNITS[0]), draw(museum, trials=TRIALS)
    last = None
    for _ in range(MOVES):
        museum, inputs = moved(museum, inputs, chance)
        there = as_set(museum, inputs)
        samples = draw(there, previous=samples)
        last = answer(there, inputs, samples, memo)
        assert last.decision
    return last, answer(there, inputs, draw(there, trials=TRIALS), afresh)


@pytest.mark.parametrize("seed", [*range(5), *(pytest.param(seed, marks=pytest.mark.long) for seed in range(5, 20))])
def test_any_sequence_of_moves_ends_in_the_answer_that_is_given_afresh(small, seed):
    remembered, fresh = map(content, last_of_sequence(small, seed, Memo()))
    assert differing(remembered, fresh) == ""


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(20, 220))
def test_two_hundred_more_sequences_do(museum, small, seed):
    remembered, fresh = map(content, last_of_sequence(museum if seed % 10 == 0 else small, seed, Memo()))
    assert differing(remembered, fresh) == ""


class Forgetful(Memo):
    """A memo whose keys leave something out."""

    def __init__(self, left_out):
        super().__init__()
        self.left_out = left_out

    def __call__(self, function, *given):
        kept = tuple(each for each in given if not self.left_out(function, each))
        if (function, kept) not in self._made:
            self._made[function, kept] = afresh(function, *given)
        self._made[function, kept].asked = self._answers
        return self._made[function, kept]


LEFT_OUT = {
    "the dates of a season": lambda _, given: isinstance(given, dt.date),
    "the agreed value": lambda function, given: function.__name__ == "_left" and isinstance(given, float),
}


@pytest.mark.parametrize(("what", "seeds"), [("the dates of a season", (3, 4)), ("the agreed value", (0, 2))])
def test_a_key_that_leaves_something_out_is_found(small, what, seeds):
    found = (map(content, last_of_sequence(small, seed, Forgetful(LEFT_OUT[what]))) for seed in seeds)
    assert any(differing(remembered, fresh) for remembered, fresh in found)


def test_one_path_alone_is_priced_as_in_a_comparison(museum, samples):
    whole = compare_paths(museum, "foundry_switcher", {"crane_hours": 20}, samples)
    for path in ("trailer", "freight_wheelsets"):
        alone = price_path(museum, "foundry_switcher", path, {"crane_hours": 20}, samples)
        found = whole.path(path)
        assert (alone.cost, alone.off_site, alone.status) == (found.cost, found.off_site, found.status)
