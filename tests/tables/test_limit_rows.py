"""Every limit: dated, confirmed by somebody, and either it moves an answer or it says that it is only shown."""

import dataclasses
import functools
import math
import re
from pathlib import Path

import pytest

from heritagemove.answers.outside_view import outside_view
from heritagemove.checks.gates.screening import screen
from heritagemove.checks.road.securement import minimum_tie_downs
from heritagemove.compare.comparison import compare_paths
from heritagemove.museum.drivers import told_by_rows
from heritagemove.museum.museum import load_museum
from heritagemove.museum.rows.limits import asked_of
from heritagemove.survey.readiness import readiness
from heritagemove.units.units import Quantity

DATA = Path(__file__).resolve().parents[2] / "data"


@functools.cache
def museum_of(name):
    return load_museum(DATA / name)


def with_limits(museum, **values):
    rows = [row.model_copy(update={"value": values.get(row.limit, row.value)}) for row in museum.limits]
    return museum.with_changes(limits=rows)


def with_facts(museum, **facts):
    """Return the museum in which these are the only facts of their kind."""
    others = [row for row in museum.survey if row.clue not in facts]
    site = next(row for row in museum.survey if row.vehicle == "any")
    seen = (site.model_copy(update={"clue": clue, "found": found}) for clue, found in facts.items())
    return museum.with_changes(survey=[*others, *seen])


def with_all(museum, table, **values):
    rows = [row.model_copy(update=values) for row in getattr(museum, table)]
    return museum.with_changes(**{table: rows})


def with_chain(museum, grade, size):
    over, _, under = size.partition("_")
    inches = float(over) / float(under or 1)
    return with_limits(museum, hauler_chain_grade=float(grade), hauler_chain_size=inches, chain_working_load=1e6)


def with_plate_height(museum, plate):
    """Return units just below this plate, so that no smaller one takes them."""
    return with_all(museum, "vehicles", height=museum.limit_quantity(f"plate_{plate}_height") - Quantity(1, "in"))


def on_axles(museum, places, **values):
    """Return trailers whose axles stand there and carry alike."""
    rows = {row.trailer: row for row in museum.trailer_axles}.values()
    one = {"part": "deck", "axles": len(places), "hitch": None, "share": None, "axle_limit": Quantity(1e6, "lb")}
    alike = [row.model_copy(update=one) for row in rows]
    placed = with_all(museum, "trailers", axle_positions=places, lanes=1, **values)
    return placed.with_changes(trailer_axles=alike)


def with_groups(museum, size):
    axles = {"tandem": 2, "tri": 3, "quad": 4}[size]
    return on_axles(museum, tuple(start + 4.0 * axle for start in (0.0, 60.0) for axle in range(axles)))


def with_wires(museum, volts, unit):
    """Return legs under wires of this voltage, as low as a load of 17 ft and the air that its row asks for allow."""
    low = Quantity(17, "ft") + museum.limit_quantity(f"wire_air_to_{volts}_{unit}", "ft")
    voltage = Quantity(float(volts), {"v": "V", "kv": "kV"}[unit])
    return with_all(museum, "legs", wires=1, lowest_wire=low, wire_voltage=voltage)


def with_load(museum, share):
    """Return units that load the first flat car to this share of its limit, away from the middle."""
    heavy = museum.flat_cars[0].load_limit * share
    cars = museum.flat_cars[:1]
    return with_all(
        with_all(museum.with_changes(flat_cars=cars), "vehicles", centre_of_gravity_offset=Quantity(1.2, "ft")), "pieces",
        weight=heavy,
        length=museum.flat_cars[0].truck_centres + Quantity(1, "ft"),
    )  # fmt: skip


def two_tandems(museum):
    rows = [row.model_copy(update={"empty": Quantity(7000, "lb")}) for row in museum.trailer_axles]
    trailers = on_axles(museum.with_changes(trailer_axles=rows), (0.0, 4.0, 33.0, 37.0), tare=Quantity(7000, "lb"))
    return with_all(trailers, "pieces", weight=Quantity(60000, "lb"))


def with_a_line(museum, kilovolts):
    line = {"power_line_voltage": Quantity(int(kilovolts) - 5, "kV"), "power_line_distance": Quantity(30, "ft")}
    return with_all(museum, "places", power_lines_cleared="no", **line)


def at_a_crawl(museum):
    """Return legs so slow, and a trailer so tireless, that the hours of a day say how far it gets."""
    slow = with_all(museum, "legs", speed=Quantity(4, "mph"), special_speed=Quantity(4, "mph"), hours_a_day=None)
    return with_all(slow, "trailers", miles_per_day=Quantity(900, "mile"))


def with_shift(museum, way):
    """Return the museum in which the transporter's path is a shift over 300 ft of ground, with no gates but its own."""
    stage, gate = museum.stages_of("transporter")[-1], museum.of_path("gates", "transporter")[0]
    place = {"from_place": stage.from_place, "to_place": stage.to_place}
    sized = {"length": Quantity(300, "ft"), "grade": Quantity(1, "percent")}
    yard = museum.legs[0].model_copy(update={"leg": "yard", "mode": "ground", "order": 2, **place, **sized})
    stage = stage.model_copy(update={"carried_on": "shift", "shifted_by": way, "legs": ("yard",)})
    asked = ("shift_capacity", "shift_ground")
    gates = [gate.model_copy(update={"gate": name, "check": name, "task": None}) for name in asked]
    others = [[row for row in rows if row.path != "transporter"] for rows in (museum.stages, museum.gates)]
    return museum.with_changes(legs=[*museum.legs, yard], stages=[*others[0], stage], gates=[*others[1], *gates])


#: Limit by its pattern -> the demo museum in a situation in which it decides, and the paths to look at.
SITUATIONS = {
    r"bearing_(?!sure)(.+)": (lambda m, soil: with_all(m, "places", soil=soil), ["trailer"]),
    r"power_line_to_(\d+)_kv": (with_a_line, ["trailer"]),
    r"chain_grade_(\d+)_(.+)_in": (with_chain, ["trailer"]),
    r"crane_tandem_share|tandem_tilt": (lambda m: with_limits(m, crane_single_share=10.0), ["trailer"]),
    r"flat_car_share_to_10_ft": (lambda m: with_all(m, "pieces", length=Quantity(9, "ft")), ["flat_car"]),
    r"flat_car_zone_at_(\d+)_percent": (lambda m, percent: with_load(m, (int(percent) - 1) / 100), ["flat_car"]),
    r"plate_([cef])_height": (with_plate_height, ["own_wheels"]),
    r"track_class_(\d)_freight": (
        lambda m, n: with_all(m, "legs", track_class=n, speed=None, special_speed=None), ["own_wheels"],
    ),
    r"tandem_exception_length|bridge_formula_step": (two_tandems, ["trailer"]),
    r"permit_(tandem|tri|quad)_axle_close": (with_groups, ["trailer"]),
    r"wire_air_to_(\d+)_(k?v)": (with_wires, ["trailer"]),
    r"(side_booms|skid|jack_and_roll|panel_track)_.+": (with_shift, ["transporter"]),
    r"shift_winch_pull": (lambda m: with_shift(m, "skid"), ["transporter"]),
    r"road_day_hours|police_escort_hours": (at_a_crawl, ["trailer", "transporter"]),
}  # fmt: skip


def chains_of_a_short_light_load(museum):
    """Count the chains of a load that is not blocked; the program takes every load as blocked."""
    rows = [museum.limit_quantity(f"tie_down_{name}") for name in ("short_length", "light_weight", "spacing")]
    return minimum_tie_downs(Quantity(4, "ft"), Quantity(1000, "lb"), False, *rows)


def days_of_a_petition(museum):
    """Return the days that the petition for a car over the age limit takes."""
    return told_by_rows(museum, "boxcar", "own_wheels")["over_age_petition_days"]


def answers_of(museum, paths=None):
    """Return a function for each answer: the readiness of each unit, and each of its paths screened."""
    for unit in museum.vehicles:
        if paths is None:
            yield lambda changed, unit=unit: readiness(changed, unit.vehicle)
        for path in museum.paths if paths is None else map(museum.path, paths):
            yield lambda changed, unit=unit, path=path: screen(changed, unit.vehicle, path.path)


class Watched:
    """A limit row that notes when it is read."""

    def __init__(self, row, read):
        self.row, self.read = row, read

    def __getattr__(self, name):
        if name in ("number", "quantity"):
            self.read.add(self.row.limit)
        return getattr(self.row, name)


@functools.cache
def plain_answers(name):
    """Return each answer of a museum as it is, with the limits that it reads."""
    museum, found = museum_of(name), []
    for answer in answers_of(museum):
        read = set()
        answer(museum.with_changes(limits=[Watched(row, read) for row in museum.limits]))
        found.append((answer, repr(answer(museum)), read))
    return found


def other_values(museum, limit):
    """Return a limit half and half as large again, then tight and loose, within what its readers allow."""
    row, asked = next(row for row in museum.limits if row.limit == limit), asked_of(limit)
    scale = row.value / museum.limit(limit) if museum.limit(limit) else 1.0
    wanted = [row.value * factor for factor in (0.5, 1.5, 0.01, 100.0)] + ([asked.most * scale] * (asked.most < math.inf))
    return [min(max(value, asked.least * scale), asked.most * scale) for value in wanted]


def moves(museum, limit, answers):
    answers = list(answers)
    changes = (with_limits(museum, **{limit: value}) for value in other_values(museum, limit))
    return any(repr(answer(changed)) != before for changed in changes for answer, before in answers)


def moves_an_answer(limit):
    if limit.startswith("optimism_bias"):
        return True  # the sentence of the outside view: the test below
    if limit in ("tie_down_short_length", "tie_down_light_weight"):
        museum = museum_of("tamber_river")
        return moves(museum, limit, [(chains_of_a_short_light_load, repr(chains_of_a_short_light_load(museum)))])
    if limit == "freight_car_age_petition":
        museum = museum_of("tamber_river")
        return moves(museum, limit, [(days_of_a_petition, repr(days_of_a_petition(museum)))])
    for pattern, (situation, paths) in SITUATIONS.items():
        if found := re.fullmatch(pattern, limit):
            museum = situation(museum_of("tamber_river"), *found.groups())
            return moves(museum, limit, ((answer, repr(answer(museum))) for answer in answers_of(museum, paths)))
    return any(
        moves(museum_of(name), limit, ((answer, before) for answer, before, read in plain_answers(name) if limit in read))
        for name in MUSEUMS
        if any(row.limit == limit for row in museum_of(name).limits)
    )


MUSEUMS = ("tamber_river", "elsewhere/melderbach")
CHECKED = sorted({row.limit for name in MUSEUMS for row in museum_of(name).limits if row.use == "checked"})


@pytest.mark.parametrize("limit", CHECKED)
def test_a_limit_that_says_checked_moves_an_answer(limit):
    assert moves_an_answer(limit)


@pytest.mark.parametrize("end", ["lower", "upper"])
def test_the_outside_view_speaks_by_the_published_uplifts(museum, samples, end):
    compared = compare_paths(museum, "caboose", samples=samples)
    changed = with_limits(museum, **{f"optimism_bias_cost_{end}": 33.0})
    assert outside_view(dataclasses.replace(compared, museum=changed), "roll_on") != outside_view(compared, "roll_on")


def test_a_limit_in_another_unit_gives_the_same_answer(museum):
    metric = {
        "power_line_to_50_kv": (3.048, "metre"), "crane_clearance": (91.44, "cm"), "chain_working_load": (5.12560, "tonne"),
        "bearing_sand": (95.760518, "kPa"), "starting_resistance_plain": (98.0665, "N/t"), "ramp_grade": (8, "%"),
    }  # fmt: skip
    rows = [
        row.model_copy(update=dict(zip(("value", "unit"), metric.get(row.limit, (row.value, row.unit)), strict=True)))
        for row in museum.limits
    ]
    changed = museum.with_changes(limits=rows)
    for limit in metric:
        assert changed.limit(limit) == pytest.approx(museum.limit(limit), rel=1e-4), limit


def test_a_limit_that_is_not_listed_cannot_be_asked(museum):
    with pytest.raises(ValueError, match=r"museum/rows/limits\.py"):
        museum.limit("crane_radius")


def test_every_limit_has_a_date_and_somebody_who_confirms_it(museum):
    assert [row.limit for row in museum.limits if row.as_of is None or not row.confirm_with.strip()] == []


def test_no_limit_is_dated_after_the_day_the_tables_were_made(museum):
    assert [row.limit for row in museum.limits if row.as_of > museum.scenario.as_of] == []
