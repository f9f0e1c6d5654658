"""What one unit needs on one path: how much of each driver, and which equipment."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from heritagemove.museum.drivers import DRIVERS, at_stage, of_piece, told_by_rows
from heritagemove.museum.memo import Ask, Made, afresh
from heritagemove.museum.museum import Museum
from heritagemove.trials.draws import Samples

Amount = float | np.ndarray
#: An amount whose array says what it was made from.
Known = float | Made


@dataclass(frozen=True)
class Work:
    """What one unit needs on one path."""

    # amount of each driver in its unit; None is unknown. Of a path of several stages, that of each stage stands beside,
    # as heritagemove.museum.drivers.at_stage names it
    amounts: Mapping[str, Amount | None]
    # ids of the crane, trailer or flat car chosen; they pick the rates. Those of each of several stages stand beside
    equipment: frozenset[str]
    # equipment of the trials in which the unit's true weight asks for another choice
    other_equipment: tuple[tuple[frozenset[str], np.ndarray], ...] = ()
    # of bool, shape (trials,); trials whose true weight fails a hard stop that the stated weight passes
    too_heavy: np.ndarray | None = None
    # of bool, shape (trials,); trials in which something unknown is found to stop the path, before anybody commits
    unmet: np.ndarray | None = None
    made: tuple[Made, ...] = ()  # arrays of these with what they were made from
    vehicle: str = ""  # id of the unit

    @classmethod
    def of(
        cls,
        given: Mapping[str, Known | None],
        equipment: frozenset[str],
        other_equipment: Sequence[tuple[frozenset[str], Made]] = (),
        too_heavy: Made | None = None,
        unmet: Made | None = None,
        vehicle: str = "",
    ) -> Work:
        """Return what is needed, from amounts and arrays that say what they were made from."""
        amounts = {name: each.value if isinstance(each, Made) else each for name, each in given.items()}
        others = tuple((ids, trials.value) for ids, trials in other_equipment)
        made = (*given.values(), *(trials for _, trials in other_equipment), too_heavy, unmet)
        heavy, stopped = (None if each is None else each.value for each in (too_heavy, unmet))
        known = tuple(each for each in made if isinstance(each, Made))
        return cls(amounts, equipment, others, heavy, stopped, known, vehicle)

    @cached_property
    def given(self) -> Mapping[str, Known | None]:
        """The amounts, each array with what it was made from."""
        return {name: self.known(amount) for name, amount in self.amounts.items()}

    def amount(self, driver: str, stage: str | None = None) -> Known | None:
        """Return the amount of a driver in one stage of the path; the path's where all stages have the same."""
        return self.given.get(at_stage(driver, stage), self.given.get(driver))

    def applies(self, driver: str | None, memo: Ask = afresh, stage: str | None = None) -> bool:
        """Return whether what needs a driver applies in any trial: what is unknown is not left out."""
        return driver is None or self.in_trials(driver, memo, stage) is not False

    def in_trials(self, driver: str, memo: Ask = afresh, stage: str | None = None) -> bool | Made:
        """Return whether a driver is above zero, or unknown; trial by trial, where they differ."""
        amount = self.amount(driver, stage)
        if not isinstance(amount, Made):
            return amount is None or bool(amount > 0)
        above = memo(_above_zero, amount)
        return above.value if isinstance(above.value, bool) else above

    def known(self, amount: Amount | None) -> Known | None:
        """Return an array of these with what it was made from; a number as it is."""
        if not isinstance(amount, np.ndarray):
            return amount
        return next((made for made in self.made if made.value is amount), None) or Made.alone(amount)


def _above_zero(amount: Amount) -> bool | np.ndarray:
    above = np.asarray(amount) > 0
    return bool(above.all()) if above.all() or not above.any() else above


def work(
    museum: Museum,
    vehicle: str,
    path: str,
    samples: Samples,
    computed: Mapping[str, float | None],
    equipment: frozenset[str] = frozenset(),
    settings: Mapping[str, float] | None = None,
    told: Mapping[str, float | None] | None = None,
    memo: Ask = afresh,
) -> Work:
    """Return the amount of every driver for one unit on one path.

    A setting (a slider) comes first, then a row of quantities.csv, then what an engineering check
    computed, then what the unit's and the route's rows say.

    Parameters
    ----------
    computed : mapping of str to float or None
        Amounts that engineering checks computed, by driver; None is unknown.
    settings : mapping of str to float, optional
        Amounts set by name; ``haul_distance`` is not among them, it makes a changed museum.
    told : mapping of str to float or None, optional
        What :func:`told_by_rows` returns for these axles, where it is known already.
    """
    settings = settings or {}
    told = told_by_rows(museum, vehicle, path, settings.get("axles"), memo) if told is None else told
    given: dict[str, Known | None] = {name: 0.0 for name, driver in DRIVERS.items() if driver.origin == "check"}
    given |= told | computed
    whole = dict(given)
    # What is said of this unit on this path comes before what is said of any.
    places = [(v, p) for v in ("any", vehicle) for p in ("any", path)]
    rows = [(places.index(name[:2]), name) for name in samples.quantities if name[:2] in places]
    for _, name in sorted(rows):
        given[name[2]] = memo(_certain, samples.known("quantities", name))
    given |= settings
    if given["truck_load_weight"] is not whole["truck_load_weight"]:  # said of all loads, of whichever piece
        given = {name: amount for name, amount in given.items() if not name.startswith(of_piece("truck_load_weight", ""))}
    for stage in museum.stages_of(path)[1:] and museum.stages_of(path):
        given |= _of_stage(stage.stage, whole, given, len(museum.stages_of(path)), memo)
    if "asbestos_seals" not in settings:  # what is stripped is not sealed as well
        given["asbestos_seals"] = memo(_rest, given.get("asbestos_places"), given.get("asbestos_strips"))
    return Work.of({name: _number(amount) for name, amount in given.items()}, equipment, vehicle=vehicle)


def _of_stage(
    stage: str, whole: Mapping[str, Known | None], given: Mapping[str, Known | None], stages: int, memo: Ask
) -> dict[str, Known | None]:
    """Return the amounts of one of several stages: what is said of the path is shared out as the stages share it."""
    found: dict[str, Known | None] = {}
    for name, driver in DRIVERS.items():
        if driver.origin not in ("route", "check"):
            continue
        own = given.get(at_stage(name, stage), 0.0)
        if given[name] is whole[name]:
            found[at_stage(name, stage)] = own
        else:
            found[at_stage(name, stage)] = memo(_shared_out, given[name], own, whole[name], 1 if driver.shared else stages)
    return found


def _shared_out(said: Amount | None, own: float | None, whole: float | None, stages: int) -> Amount | None:
    """Return the part of one stage in what is said of the path; equal parts where none of it was counted."""
    if any(each is None for each in (said, own, whole)):
        return None
    return said * (own / whole) if whole else said / stages


def _rest(whole: Amount | None, taken: Amount | None) -> Amount | None:
    """Return what is left of a whole; None where one is unknown."""
    if whole is None or taken is None:
        return None
    left = np.maximum(np.subtract(whole, taken), 0.0)
    return left if left.ndim else float(left)


def _certain(draws: np.ndarray) -> Amount:
    """Return the one number that all draws are, where they are one; else the draws."""
    return float(draws[0]) if np.ptp(draws) == 0 else draws


def _number(amount: Known | None) -> Known | None:
    """Return an amount that is the same in every trial as the number it is."""
    return amount.value if isinstance(amount, Made) and not isinstance(amount.value, np.ndarray) else amount
