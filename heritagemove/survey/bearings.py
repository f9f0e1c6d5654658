"""The survey: from what is seen on the ground to the type of bearing in each journal box.

It says what was seen and what that makes likely; a person who knows journal boxes confirms it.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from heritagemove.survey.evidence import expected_gain, posterior

#: The bearing types, in the order of the columns of clues.csv.
TYPES = ("plain", "roller", "converted_roller")
#: From this probability on a box's bearing type counts as known where the limit row bearing_sure does not say otherwise.
SURE = 0.95
#: Two sights contradict each other when the type that suits both best suits them less than this.
CONTRADICTION = 0.1
#: A clue that is expected to tell less than this [bit] is not worth a walk.
WORTH = 0.02


@dataclass(frozen=True)
class BearingAnswer:
    """What one journal box probably holds."""

    place: str  # the box, such as 1L
    plain: float  # probability of each type [-]
    roller: float  # probability of each type [-]
    converted_roller: float  # probability of each type [-]
    seen: tuple[tuple[str, str], ...]  # clues that counted, with what was found
    left_out: tuple[str, ...]  # sights that did not count, and why
    contradictions: tuple[str, ...]  # pairs of sights that no type explains
    # clues not seen yet with what each is expected to tell [bit], the most telling first
    looks: tuple[tuple[str, float], ...]
    sure: float = SURE  # probability from which the type counts as known [-]

    @property
    def likeliest(self) -> str:
        """The most probable type."""
        return max(TYPES, key=lambda kind: getattr(self, kind))

    @property
    def certainty(self) -> float:
        """Probability of the most probable type [-]."""
        return getattr(self, self.likeliest)

    @property
    def known(self) -> bool:
        """Whether the type is sure enough to plan with, and nothing that was seen contradicts it."""
        return self.certainty >= self.sure and not self.contradictions

    @property
    def next_clue(self) -> str | None:
        """The clue worth looking for next, or None when no look would tell much."""
        return self.looks[0][0] if self.looks and self.looks[0][1] >= WORTH else None


def bearing_of(
    observations: Iterable[Any],
    clues: Iterable[Any],
    prior: Sequence[float] | None = None,
    sure: float = SURE,
) -> BearingAnswer:
    """Return what one journal box probably holds, by Bayes' rule from what was seen at it.

    Parameters
    ----------
    observations : iterable of rows
        Rows of survey.csv for one box; those whose clue is not in `clues` are about something else.
    clues : iterable of rows
        Rows of clues.csv.
    prior : sequence of float, optional
        Probability of plain, roller and converted roller before anyone looked [-]; that of clues.csv if left out.
    sure : float
        Probability from which the type counts as known, from the limit row bearing_sure [-].

    Returns
    -------
    BearingAnswer

    Raises
    ------
    ValueError
        If a sight is none of its clue's words, or the prior is not three shares that add up to 1.

    Notes
    -----
    Clues count as independent given the type. A sight that only an open box can show is left out while the lid
    was shut. A clue found in two ways is a contradiction and counts in neither.
    """
    table = _clue_table(clues)
    start = table.pop("prior")["any"][0] if prior is None else tuple(prior)
    table.pop("prior", None)
    if len(start) != len(TYPES):
        raise ValueError(f"prior: found {len(start)} shares; allowed: {len(TYPES)}, for {', '.join(TYPES)}")
    observations = list(observations)
    found: dict[str, set[str]] = {}
    for row in observations:
        if row.clue in table and row.found != "unknown":
            if row.found not in table[row.clue]:
                raise ValueError(f'{row.clue}: found "{row.found}"; allowed: {", ".join(table[row.clue])}, unknown')
            found.setdefault(row.clue, set()).add(row.found)
    twice = [f"{clue} found {' and '.join(sorted(words))}" for clue, words in found.items() if len(words) > 1]
    single = {clue: next(iter(words)) for clue, words in found.items() if len(words) == 1}
    opened = any(table[clue][word][1] == "opens" for clue, word in single.items())
    shut = {clue for clue, word in single.items() if table[clue][word][1] == "open_only" and not opened}
    seen = {clue: word for clue, word in single.items() if clue not in shut}
    shares = posterior(start, [table[clue][word][0] for clue, word in seen.items()])
    looks = {
        clue: expected_gain(shares, [entry[0] for entry in words.values()])
        for clue, words in table.items()
        if clue not in seen
    }
    return BearingAnswer(
        getattr(observations[0], "place", "") if observations else "",
        *shares,
        tuple(seen.items()),
        tuple(f"{clue} {single[clue]}: nobody looked behind the lid" for clue in sorted(shut)),
        (*twice, *_contradictions(seen, table)),
        tuple(sorted(looks.items(), key=lambda item: (-item[1], item[0]))),
        sure,
    )


def _clue_table(clues: Iterable[Any]) -> dict[str, dict[str, tuple[tuple[float, ...], str]]]:
    table: dict[str, dict[str, tuple[tuple[float, ...], str]]] = {}
    for row in clues:
        table.setdefault(row.clue, {})[row.found] = (tuple(getattr(row, kind) for kind in TYPES), row.sight)
    return table


def _contradictions(seen: dict[str, str], table: dict[str, Any]) -> Iterable[str]:
    """Name each pair of sights that no type explains; each sight is measured against the type that suits it best."""
    suits = {clue: [share / max(table[clue][word][0]) for share in table[clue][word][0]] for clue, word in seen.items()}
    for one, other in itertools.combinations(seen, 2):
        if max(a * b for a, b in zip(suits[one], suits[other], strict=True)) < CONTRADICTION:
            yield f"{one} {seen[one]} against {other} {seen[other]}"


@dataclass(frozen=True)
class VehicleBearings:
    """The boxes of one unit."""

    boxes: tuple[BearingAnswer, ...]  # outside boxes, from the front, left before right
    inside: tuple[str, ...]  # axles whose boxes sit inside the frame: nothing of them shows, and they cannot be converted
    declared: str  # type in vehicles.csv

    @property
    def likeliest(self) -> str:
        """The type of every outside box; mixed where boxes differ; unknown without one."""
        kinds = {box.likeliest for box in self.boxes}
        return kinds.pop() if len(kinds) == 1 else ("mixed" if kinds else "unknown")

    @property
    def possible(self) -> tuple[str, ...]:
        """Types that some box may still have, with more than 1 less the probability that counts as known."""
        return tuple(kind for kind in TYPES if any(getattr(box, kind) > 1 - box.sure for box in self.boxes))

    @property
    def open_boxes(self) -> tuple[BearingAnswer, ...]:
        """Boxes whose type is not known."""
        return tuple(box for box in self.boxes if not box.known)

    @property
    def disputed(self) -> tuple[BearingAnswer, ...]:
        """Boxes where sights contradict each other, or make another type sure than the one in vehicles.csv."""
        return tuple(box for box in self.boxes if box.seen and (box.contradictions or self._denied(box)))

    def _denied(self, box: BearingAnswer) -> bool:
        return self.declared not in ("unknown", box.likeliest) and box.certainty >= box.sure

    @property
    def dispute(self) -> str:
        """What the clues have against the type in vehicles.csv, and the clue worth looking for; blank where nothing."""
        if not self.disputed:
            return ""
        box, many = self.disputed[0], len(self.disputed) > 1
        names = f"box{'es' * many} {', '.join(each.place for each in self.disputed)}"
        found = f"look{'s' * (not many)} {box.likeliest.replace('_', ' ')} ({show_share(box.certainty)})"
        if box.contradictions:
            found = f"show{'s' * (not many)} {box.contradictions[0].replace('_', ' ')}, which no type explains"
        clue = f"look for {box.looks[0][0].replace('_', ' ')}" if box.looks else "have someone who knows journal boxes look"
        return f"vehicles.csv says {self.declared.replace('_', ' ')}, but {names} {found}: {clue}"

    @property
    def in_use(self) -> str:
        """The type to plan with: unknown where the clues dispute the one in vehicles.csv."""
        return "unknown" if self.disputed else self.declared

    @property
    def sentence(self) -> str:
        """The answer in one line."""
        if not self.boxes:
            return "No outside journal box: nothing can be told from the ground, and nothing can be converted."
        words = self.likeliest.replace("_", " ")
        known = len(self.boxes) - len(self.open_boxes)
        lowest = show_share(min(box.certainty for box in self.boxes))
        text = f"Bearings: {words}; known at {known} of {len(self.boxes)} boxes, least certain {lowest}."
        if self.declared not in ("unknown", self.likeliest):
            text += f" vehicles.csv says {self.declared.replace('_', ' ')}: one of the two must be mended."
        return text + (" Driving boxes sit inside the frame and cannot be converted." if self.inside else "")


def show_share(share: float) -> str:
    """Show a probability in per cent; never 0 or 100, for nothing seen from the ground is certain.

    Examples
    --------
    >>> show_share(0.9996), show_share(0.132), show_share(0.0004)
    ('over 99 %', '13 %', 'under 1 %')
    """
    return "over 99 %" if share > 0.99 else "under 1 %" if share < 0.01 else f"{share * 100:.0f} %"


def bearings(museum: Any, vehicle: str) -> VehicleBearings:
    """Return what each outside journal box of a unit probably holds.

    Parameters
    ----------
    museum : Museum
    vehicle : str
        Id of the unit; ValueError lists the known ones otherwise.
    """
    unit = museum.vehicle(vehicle)
    outside, inside = [], []
    for axle in museum.axles_of(vehicle):
        hidden = unit.journal_position == "inside" or (unit.journal_position == "mixed" and axle.role == "driver")
        (inside if hidden else outside).append(str(axle.axle))
    places = [f"{axle}{side}" for axle in outside for side in "LR"]
    percent = museum.limit("bearing_sure")
    sure = SURE if percent is None else percent / 100
    # Boxes at which the same was seen hold the same: most boxes of a unit.
    answers: dict[tuple[tuple[str, str], ...], BearingAnswer] = {}
    boxes = []
    own = tuple(row for row in museum.survey if row.vehicle == vehicle)
    for place in places:
        seen = _holding(own, place)
        sights = tuple((row.clue, row.found) for row in seen)
        if sights not in answers:
            answers[sights] = bearing_of(seen, museum.clues, sure=sure)
        boxes.append(_placed(answers[sights], place))
    return VehicleBearings(tuple(boxes), tuple(inside), unit.bearing)


def _placed(answer: BearingAnswer, place: str) -> BearingAnswer:
    return BearingAnswer(**{**vars(answer), "place": place})


def seen_at(museum: Any, vehicle: str, place: str) -> tuple[Any, ...]:
    """Return the survey rows that hold at a box: its own before those of the whole unit, the latest of each clue.

    Parameters
    ----------
    museum : Museum
    vehicle : str
    place : str
        A journal box such as 1L, or vehicle.
    """
    return _holding((row for row in museum.survey if row.vehicle == vehicle), place)


def _holding(survey: Iterable[Any], place: str) -> tuple[Any, ...]:
    holds: dict[str, list[Any]] = {}
    for row in survey:
        if row.place in (place, "vehicle") and row.found != "unknown":
            holds.setdefault(row.clue, []).append(row)
    ranked = ([((row.place == place, row.observed), row) for row in rows] for rows in holds.values())
    return tuple(row for rows in ranked for rank, row in rows if rank == max(rows, key=lambda entry: entry[0])[0])
