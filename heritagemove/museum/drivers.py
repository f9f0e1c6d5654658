"""The named drivers: what says how much of everything a path needs.

A driver is the one extension point for path content in Python: a name, a unit, a meaning and
where its amount comes from. Rows name drivers; nothing in a cell is ever evaluated.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any, Literal, Protocol

from heritagemove.museum.memo import Ask, afresh
from heritagemove.museum.rows.stages import MODES
from heritagemove.museum.waits import borders_of, states_of
from heritagemove.units import units
from heritagemove.units.words import near_miss

Origin = Literal["unit", "route", "check", "quantity", "rest", "task"]

#: What carries a unit on rails.
BY_RAIL = tuple(carrier for carrier, mode in MODES.items() if mode == "rail")


class Situation(Protocol):
    """What a driver may look at: one unit on one path."""

    vehicle: Any  # the unit
    body: Any  # the heaviest piece that is lifted and carried as the unit itself
    trucks: int  # trucks that can be taken out of the unit
    stages: Any  # the stages of the path, or one of them; none where the path moves nothing
    axles: int  # axles of the unit
    legs: Any  # legs of the stages, without detours
    road: Any  # the road route, without detours: trucks and parts go by it
    move_year: int  # year in which the move starts
    # calendar days of a petition for such a car [day]; 0 where none is asked, None where nobody has said
    petition: float | None
    age_limit: float | None  # age from which a freight car needs special approval [year]; None where no limit is tabled


@dataclass(frozen=True)
class Driver:
    """One driver."""

    name: str
    unit: str  # its unit, by the spelling of :mod:`heritagemove.units.units`
    meaning: str  # what it counts, in a planner's words
    # whether the amount is read from the unit, the route, an engineering check, quantities.csv, what is left of other
    # quantities, or the sampled duration of the row's own task
    origin: Origin
    # for "unit" and "route": the amount of a :class:`Situation`; None (unknown) when data is missing
    amount: Callable[[Situation], float | None] | None = None
    shared: bool = False  # whether the stages of a path share it: the path needs the most that one of them does, not the sum


def at_stage(name: str, stage: str | None) -> str:
    """Return the key of a driver's amount, or of equipment, in one stage of a path that has several.

    Examples
    --------
    >>> at_stage("crane_hours", "road"), at_stage("crane_hours", None)
    ('crane_hours@road', 'crane_hours')
    """
    return name if stage is None else f"{name}@{stage}"


def of_piece(name: str, piece: str) -> str:
    """Return the key of a driver's amount that is of one piece alone, where several go beside the body."""
    return f"{name}/{piece}"


def driver_of(key: str) -> str:
    """Return the driver of such a key.

    Examples
    --------
    >>> driver_of("crane_hours@road"), driver_of("truck_loads/boiler@road")
    ('crane_hours', 'truck_loads')
    """
    return key.partition("@")[0].partition("/")[0]


def _miles(legs: Any) -> float | None:
    """Return the length of a route; None where no leg is tabled."""
    return sum(leg.length.m_as("mile") for leg in legs) if legs else None


def _route_miles(situation: Situation) -> float | None:
    moving = [stage for stage in situation.stages if stage.mode != "none"]
    if not moving:
        return 0.0
    return _miles(situation.legs) if all(stage.legs for stage in moving) else None


def _legs_of(situation: Situation, *carried_on: str) -> list[Any] | None:
    """Return the legs of the stages in which something carries the unit; None where no leg of one is tabled."""
    stages = [stage for stage in situation.stages if stage.carried_on in carried_on]
    if not all(stage.legs for stage in stages):
        return None
    names = {leg for stage in stages for leg in stage.legs}
    return [leg for leg in situation.legs if leg.leg in names]


def _carriers(situation: Situation, *owners: str, carried_on: tuple[str, ...] = BY_RAIL) -> float | None:
    """Count the railroads of a rail route; None where no leg is tabled."""
    legs = _legs_of(situation, *carried_on)
    if legs is None:
        return None
    return float(len({leg.carrier for leg in legs if leg.carrier and (not owners or leg.owner in owners)}))


def _states(situation: Situation) -> float | None:
    if not situation.stages:
        return 0.0
    through = states_of(situation.legs)
    return None if through is None else float(len(through))


def _borders(situation: Situation) -> float | None:
    return borders_of(situation.legs) if situation.stages else 0.0


def _class_one_miles(situation: Situation) -> float:
    rail = (leg for leg in situation.legs if leg.mode == "rail" and leg.owner == "class_one")
    return _miles(list(rail)) or 0.0


def _exceptions(situation: Situation) -> float | None:
    asked = _carriers(situation, "class_one", carried_on=("own_wheels",))
    runs = any(stage.carried_on == "own_wheels" for stage in situation.stages)
    if not runs or situation.vehicle.bearing == "plain":
        return asked
    return None if asked is None or situation.vehicle.bearing == "unknown" else 0.0


def _regular_train_cars(situation: Situation) -> float | None:
    own, other = (_carriers(situation, "class_one", carried_on=(wheels,)) for wheels in ("own_wheels", "other_wheels"))
    runs = any(stage.carried_on == "own_wheels" for stage in situation.stages)
    if None in (own, other) or (runs and situation.vehicle.bearing == "unknown"):
        return None
    return float(other > 0 or (own > 0 and situation.vehicle.bearing != "plain"))


def _plain_boxes(situation: Situation) -> float | None:
    bearing = situation.vehicle.bearing
    return None if bearing == "unknown" else 2.0 * situation.axles * (bearing == "plain")


def _over_age(situation: Situation) -> float | None:
    if situation.vehicle.kind not in ("freight_car", "caboose"):
        return 0.0
    if situation.age_limit is None:
        return None
    # By the year alone, a car that reaches the age may be past it.
    return float(situation.move_year - situation.vehicle.built >= situation.age_limit)


def _petition_days(situation: Situation) -> float | None:
    cars = _over_age(situation)
    return 0.0 if cars == 0 else None if None in (cars, situation.petition) else cars * situation.petition


def _tons(weight: Any) -> float | None:
    return None if weight is None else weight.m_as("short_ton")


_ALL = (
    Driver("jobs", "job", "one, for work at a fixed price", "unit", lambda s: 1.0),
    Driver("axles", "axle", "axles of the unit", "unit", lambda s: float(s.axles)),
    Driver("journal_boxes", "journal_box", "journal boxes, two to an axle", "unit", lambda s: 2.0 * s.axles),
    Driver("plain_journal_boxes", "journal_box", "journal boxes with plain bearings", "unit", _plain_boxes),
    Driver("motors", "motor", "traction motors", "unit", lambda s: float(s.vehicle.motors)),
    Driver("trucks", "truck", "trucks under the unit", "unit", lambda s: float(s.trucks)),
    Driver("weight", "short_ton", "weight as it stands", "unit", lambda s: _tons(s.vehicle.weight)),
    Driver("body_weight", "short_ton", "weight of the heaviest single load", "unit", lambda s: _tons(s.body.weight)),
    Driver("insured_value", "USD", "agreed value", "unit", lambda s: s.vehicle.insured_value.m_as("USD")),
    Driver(
        "loose_axle_loads",
        "load",
        "road loads of loose axles, three to a load",
        "unit",
        lambda s: float(math.ceil(s.axles / 3)),
    ),
    Driver(
        "motors_to_refit",
        "motor",
        "motors to put back if the unit must run",
        "unit",
        lambda s: float(s.vehicle.motors * s.vehicle.must_run),
    ),
    Driver(
        "axles_to_convert_later",
        "axle",
        "own axles to convert later if the unit must run",
        "unit",
        lambda s: float(s.axles * s.vehicle.must_run),
    ),
    Driver("over_age_cars", "vehicle", "freight cars over the federal age limit", "unit", _over_age),
    Driver(
        "over_age_petition_days",
        "day",
        "calendar days that a petition for cars over the age limit takes at the least",
        "unit",
        _petition_days,
    ),
    Driver("steam_engines", "vehicle", "steam locomotives", "unit", lambda s: float(s.vehicle.kind == "steam_locomotive")),
    Driver("haul_distance", "mile", "distance the unit is hauled on this path's route", "route", _route_miles),
    Driver("truck_haul_distance", "mile", "road distance of the trucks and parts", "route", lambda s: _miles(s.road)),
    Driver("class_one_distance", "mile", "distance over main-line railroads", "route", _class_one_miles),
    Driver("carriers", "carrier", "railroads on the route", "route", _carriers),
    Driver("short_lines", "carrier", "short lines on the route", "route", lambda s: _carriers(s, "short_line")),
    Driver(
        "class_one_carriers",
        "carrier",
        "main-line railroads on the route",
        "route",
        lambda s: _carriers(s, "class_one"),
    ),
    Driver("states", "state", "states on the route that give permits of their own", "route", _states),
    Driver("borders", "border", "crossings from one of those states into another", "route", _borders),
    Driver("exception_requests", "request", "main-line railroads asked to take plain bearings", "route", _exceptions),
    Driver("special_trains", "train", "special trains for plain bearings", "route", _exceptions),
    Driver("regular_train_cars", "vehicle", "units handled in a regular main-line train", "route", _regular_train_cars),
    Driver("lifts", "lift", "main lifts at each site", "check"),
    Driver("lift_days", "day", "working days of lifting at one site, without rigging the cranes in and out", "check"),
    Driver("crane_hours", "crane_hour", "crane hours hired, all cranes, both sites", "check"),
    Driver("crane_calls", "crane_call", "cranes brought in and taken away, both sites", "check"),
    Driver("rigging_days", "crew_day", "rigging crew days, both sites", "check"),
    Driver("body_loads", "load", "road or rail loads of the body", "check"),
    Driver("truck_loads", "load", "road loads of trucks, tender and parts", "check", shared=True),
    Driver("truck_load_weight", "short_ton", "weight of one of these loads, on average", "check", shared=True),
    Driver("overweight_loads", "load", "road loads over the legal axle or gross weights", "check"),
    Driver("over_height_loads", "load", "road loads over the legal height", "check"),
    Driver("superloads", "load", "loads over the state's superload weight", "check"),
    Driver("road_days", "day", "days on the road, by each leg's speed and hours", "check"),
    Driver("rail_days", "day", "days on the rails, waits at interchanges included", "check"),
    Driver("pilot_cars", "escort_day/task_day", "pilot cars that go along", "check", shared=True),
    Driver("police_cars", "escort_day/task_day", "police cars that go along", "check", shared=True),
    Driver("utility_crews", "utility_day/task_day", "crews that go along to lift wires", "check", shared=True),
    Driver("line_days", "line_day", "transporter axle lines times days on hire", "check"),
    Driver("shift_distance", "ft", "distance the unit is shifted over the ground", "check"),
    Driver("shift_days", "crew_day", "crew days of a shift, rigging in and out with them", "check"),
    Driver("shift_machines", "machine", "side-lifting machines that carry it in a shift", "check", shared=True),
    Driver("shift_panels", "track_panel", "panels of track under a shift", "check"),
    Driver("flat_cars", "flat_car", "carrying cars", "check"),
    Driver("special_flat_cars", "flat_car", "carrying cars that are ordered in empty", "check"),
    Driver("flat_car_days", "flat_car_day", "carrying cars times days on hire", "check"),
    Driver("tie_downs", "tie_down", "tie-downs or chains that hold the load", "check"),
    Driver("rider_days", "rider_day", "riders times days on the rails", "check"),
    Driver("high_wide_loads", "load", "loads on their wheels outside every clearance plate", "check"),
    Driver("bridge_reviews", "bridge", "rail bridges an engineer must look at", "check"),
    Driver("brasses_to_replace", "journal_box", "journal boxes whose brass or wedge was found bad", "check", shared=True),
    Driver("wheelsets_to_renew", "axle", "axles whose wheels were found bad", "check", shared=True),
    Driver("draft_gear_repairs", "job", "couplers, draft gear and cushioning found bad", "check", shared=True),
    Driver("safety_appliance_repairs", "job", "hand brake, handholds, steps and levers found bad", "check", shared=True),
    Driver("hazard_surveys", "survey", "hazard surveys by a licensed person", "quantity"),
    Driver("asbestos_places", "job", "places with asbestos: each is sealed for the move or stripped", "quantity"),
    Driver("asbestos_seals", "job", "asbestos sealed or wrapped for the move: the places that are not stripped", "rest"),
    Driver("asbestos_strips", "job", "asbestos that must be stripped under controls, not only sealed", "quantity"),
    Driver("lagged_boilers", "boiler", "boilers with lagging to strip before cutting", "quantity"),
    Driver("fluid_systems", "job", "fuel, oil and battery sets to drain", "quantity"),
    Driver("draft_ends", "draft_end", "ends whose couplers and draft gear need work", "quantity"),
    Driver("brake_sets", "job", "brake sets to repair and test", "quantity"),
    Driver("rod_sets", "job", "sets of rods and valve gear made safe", "quantity"),
    Driver("ties", "tie", "ties the industrial lead needs", "quantity"),
    Driver("railroad_entries", "request", "railroads asked for leave to work on their land", "quantity"),
    Driver("flagging_days", "day", "days a railroad's flagger watches work beside its track", "quantity"),
    Driver("track_agreements", "request", "agreements to lay or cross a railroad's track", "quantity"),
    Driver("owner_votes", "job", "votes of a council or board without which the owner gives nothing away", "quantity"),
    Driver("tenders", "job", "tenders that the museum must put out", "quantity"),
    Driver("money_to_raise", "job", "grants or appeals that must be in hand before anybody commits", "quantity"),
    Driver("jurisdictions", "jurisdiction", "counties and towns that issue their own permits", "quantity"),
    Driver("task_days", "task_day", "working days the line's own task lasts, delays included", "task"),
    Driver("days_over", "task_day", "working days the line's own task lasts beyond its likely ones", "task"),
)

#: Every driver by name.
DRIVERS: Mapping[str, Driver] = {driver.name: driver for driver in _ALL}

#: Drivers whose amount is the sampled time of a line's own task: only a cost line may name them, nobody sets them.
OWN_TASK = ("task_days", "days_over")

#: Drivers a slider or ``--set`` moves most often; any other driver but those of ``OWN_TASK`` may be set too.
SLIDERS = ("crane_hours", "haul_distance", "axles")


def told_by_rows(
    museum: Any, vehicle: str, path: str, axles: float | None = None, memo: Ask = afresh
) -> Mapping[str, float | None]:
    """Return the amounts that the unit's and the route's rows tell, by driver; None is unknown.

    Of a path of several stages, what the route tells of each stands beside, as :func:`at_stage` names it.

    Parameters
    ----------
    axles : float, optional
        Axles of the unit; those surveyed when left out.
    """
    counted = len(museum.axles_of(vehicle)) if axles is None else int(axles)
    unit, stages, year = museum.vehicle(vehicle), museum.stages_of(path), museum.scenario.start.year
    of_unit = (unit, museum.body(vehicle), museum.trucks(vehicle), counted)
    of_age = museum.limit("freight_car_age"), museum.limit("freight_car_age_petition")

    def told(*some: Any) -> dict[str, float | None]:
        legs = tuple(leg for stage in some for leg in museum.legs_of(stage))
        return memo(_told, *of_unit, some, legs, _road_of_trucks(museum, some), year, *of_age).value

    whole = told(*stages)
    if len(stages) < 2:
        return whole
    by_stage = ((stage.stage, told(stage)) for stage in stages)
    ways = [name for name, driver in DRIVERS.items() if driver.origin == "route"]
    return {**whole, **{at_stage(name, stage): amounts[name] for stage, amounts in by_stage for name in ways}}


def _road_of_trucks(museum: Any, stages: tuple[Any, ...]) -> tuple[Any, ...]:
    """Return the road from where stages begin to where they end, as some path runs over it; else every road leg."""
    ends = stages and (stages[0].from_place, stages[-1].to_place)
    ways = (row for row in museum.stages if row.mode == "road" and row.legs and (row.from_place, row.to_place) == ends)
    way = next(ways, None)
    return museum.route("road") if way is None else museum.legs_of(way)


def _told(
    unit: Any,
    body: Any,
    trucks: int,
    axles: int,
    stages: tuple[Any, ...],
    legs: Sequence[Any],
    road: Sequence[Any],
    year: int,
    age_limit: float | None,
    petition: float | None,
) -> dict[str, float | None]:
    of_unit = {"vehicle": unit, "body": body, "trucks": trucks, "axles": axles}
    of_way = {"stages": stages, "legs": legs, "road": road, "move_year": year, "age_limit": age_limit}
    of_way["petition"] = petition
    situation = SimpleNamespace(**of_unit, **of_way)
    return {name: driver.amount(situation) for name, driver in DRIVERS.items() if driver.amount}


def read_settings(settings: Mapping[str, Any] | None) -> dict[str, float]:
    """Read amounts set by name, as a slider or ``--set`` gives them.

    Parameters
    ----------
    settings : mapping of str to str, float or Quantity
        A bare number is in the driver's own unit; a text may carry a unit, as ``120 mile`` or ``193 km``.

    Returns
    -------
    dict of str to float
        Amounts in the drivers' units.

    Raises
    ------
    ValueError
        For an unknown driver, or a value that is not a quantity of its kind or is below zero.

    Examples
    --------
    >>> read_settings({"haul_distance": "120 mile", "axles": "6"})
    {'haul_distance': 120.0, 'axles': 6.0}
    """
    return {name: _read_setting(name, given) for name, given in (settings or {}).items()}


def _read_setting(name: str, given: Any) -> float:
    allowed = sorted(set(DRIVERS) - set(OWN_TASK))
    if name not in allowed:
        hint = near_miss(name, allowed)
        raise units.PlannerError(f'setting: found "{name}"; allowed: {", ".join(allowed)}{hint}')
    unit = DRIVERS[name].unit
    least = "above 0" if name in ("haul_distance", "weight") else "of at least 0"
    wanted = f"a number of {unit.replace('_', ' ')}s {least}, such as 6 or 6 {unit}"
    try:
        if isinstance(given, str):
            amount = _bare(given) if _bare(given) is not None else units.parse(given, unit).magnitude
        else:
            amount = units.value(given, unit) if isinstance(given, units.Quantity) else float(given)
    except (ValueError, TypeError) as error:
        raise units.PlannerError(f'{name}: found "{given}"; allowed: {wanted}') from error
    if not 0 <= amount < 1e9:
        raise units.PlannerError(f'{name}: found "{given}"; allowed: {wanted}')
    if name == "axles" and (amount != int(amount) or not 1 <= amount <= 64):
        raise units.PlannerError(f'axles: found "{given}"; allowed: a whole number from 1 to 64')
    if name in ("haul_distance", "weight") and amount == 0:
        raise units.PlannerError(f'{name}: found "{given}"; allowed: a value above 0, such as 120 {unit}')
    return amount


def _bare(text: str) -> float | None:
    try:
        return units.parse_number(text)
    except ValueError:
        return None
