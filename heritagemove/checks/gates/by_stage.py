"""A path of several stages: of which of them a gate is asked, which answer counts, and what all of them need together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from heritagemove.checks.check import Check
from heritagemove.checks.gates import cranes, lift_gates, rail_gates, road_gates
from heritagemove.checks.gates.carriage import Carriage
from heritagemove.museum.drivers import BY_RAIL, DRIVERS, at_stage, driver_of

#: From the best answer to the worst.
_WORSE = ("pass", "marginal", "open", "unknown", "fail")
_ON_WHEELS, _BY_ROAD = ("own_wheels", "other_wheels"), ("trailer", "transporter", "roll_on_trailer")
#: What each check is about, where that is narrower than its subject.
_ABOUT = {
    "brake_holding": ("roll_on_trailer",), "brake_test": _ON_WHEELS, "centre_of_gravity": ("flat_car",),
    "coupler_height": _ON_WHEELS, "crawl": ("transporter",), "flat_car_clearance": ("flat_car",),
    "flat_car_load": ("flat_car",), "journal_rating": ("own_wheels",), "outside_boxes": ("other_wheels",),
    "plain_bearings": ("own_wheels",), "plate": _ON_WHEELS, "rail_securement": ("flat_car",),
    "roll_on_payload": ("roll_on_trailer",), "shift_capacity": ("shift",), "shift_ground": ("shift",),
    "starting_pull": _ON_WHEELS, "transporter_ground": ("transporter",),
    "winch_pull": ("roll_on_trailer",),
}  # fmt: skip


def stages_asked(gate: Any, stages: tuple[Any, ...]) -> tuple[Any, ...]:
    """Return the stages of a path of which the check of a gate is asked: its own, or every one of the kind it is about."""
    if gate.stage is not None:
        return tuple(row for row in stages if row.stage == gate.stage)
    about = carriers_of(gate.check)
    found = tuple(row for row in stages if row.carried_on in about)
    return found or stages


def carriers_of(check: str) -> tuple[str, ...]:
    """Return what carries a unit that a check is about."""
    return _ABOUT.get(check) or _of_subject(check)


def _of_subject(check: str) -> tuple[str, ...]:
    subjects = ((lift_gates, cranes.LIFTED_ONTO), (rail_gates, BY_RAIL), (road_gates, _BY_ROAD))
    return next((about for subject, about in subjects if check in subject.CHECKS), BY_RAIL)


def worst_stage(checks: tuple[tuple[str, Check], ...]) -> Check:
    """Return the worst of several stages' answers, with the title of its stage."""
    stage, check = max(checks, key=lambda row: (_WORSE.index(row[1].status), row[1].utilization or 0.0))
    note = f"{stage}: {check.note}" if check.status == "unknown" else check.note
    return replace(check, subject=f"{stage}: {check.subject}", note=note)


def needed_by_stages(
    stages: tuple[str, ...], carried: tuple[Carriage, ...]
) -> tuple[Mapping[str, float | None], frozenset[str], tuple[str, ...]]:
    """Return what the stages of a path need: the sum, or the most where they share it, and what each needs beside.

    The cranes that lift a unit off one carrier lift it on to the next, and are called once for both.
    """
    of_each = [_amounts(each) for each in carried]
    for before, after, amounts in zip(carried, carried[1:], of_each[1:], strict=False):
        saved = cranes.saved_at_transfer(after.museum, after.vehicle, before.arrangement, after.arrangement)
        amounts |= {name: amounts[name] - much for name, much in saved.items() if amounts[name] is not None}
    staged = zip(stages, of_each, strict=True)
    counted = {at_stage(name, stage): found for stage, own in staged for name, found in own.items()}
    for name in dict.fromkeys(name for own in of_each for name in own):
        values = [own[name] for own in of_each if name in own]
        driver = DRIVERS[driver_of(name)]
        shared = driver.shared or driver.origin == "unit"
        counted[name] = None if None in values else max(values) if shared else sum(values)
    equipment = [(stage, chosen) for stage, each in zip(stages, carried, strict=True) for chosen in each.equipment]
    ids = {chosen for _, chosen in equipment} | {at_stage(chosen, stage) for stage, chosen in equipment}
    return counted, frozenset(ids), tuple(dict.fromkeys(note for each in carried for note in each.notes))


def telling_weights_apart(amounts: Mapping[str, float | None]) -> dict[str, float | None]:
    """Return the amounts without what a load of trucks weighs: it follows the unit's weight, as that itself does."""
    return {name: found for name, found in amounts.items() if driver_of(name) != "truck_load_weight"}


def _amounts(carriage: Carriage) -> dict[str, float | None]:
    """Return the amounts of a stage, its way included: a path's is the sum of what its stages say of theirs."""
    if carriage.mode == "none":
        return {"haul_distance": 0.0, **carriage.amounts}
    lengths = [leg.length for leg in carriage.legs]
    known = lengths and None not in lengths
    miles = sum(length.m_as("mile") for length in lengths) if known else None
    return {"haul_distance": miles, **carriage.amounts}
