"""What is asked before a museum begins: the rules it moves under, what the unit is, where it stands, how far it is."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from heritagemove.editing.kinds_of_unit import KINDS_OF_UNIT, UnitKind
from heritagemove.museum.rules_folders import rules_folders
from heritagemove.units import units
from heritagemove.units.units import PlannerError
from heritagemove.units.words import near_miss

#: Where a unit may stand, and what that means.
STANDS: Mapping[str, str] = {
    "joined_track": "on track that is still joined to a railroad",
    "cut_off_track": "on track that no railroad reaches any more",
    "ground": "on the ground or on rails that nothing rolls on",
}
#: Beyond this road distance nobody crawls with a self-propelled transporter.
CRAWLED = 20.0  # mile


@dataclass(frozen=True)
class StartingPoint:
    """The first answers of a planner, each with a default: only rows that apply to them are written.

    Raises
    ------
    PlannerError
        With every answer that is not allowed.
    """

    rules: str = "usa"  # folder of rules: a country, or a state of the USA
    kind: str = "diesel_locomotive"  # one of KINDS_OF_UNIT
    stands: str = "joined_track"  # one of STANDS
    rail_at_museum: bool = True  # whether the museum's own track is joined to a railroad
    by_rail: str = "100 mile"  # how far it is by rail
    by_road: str = "80 mile"  # how far it is by road
    seasons: bool = False  # whether frost laws and the railroads' traffic peaks are to be thought of
    holdover: float = 0.0  # what the owner charges for each day after the deadline, in the museum's currency

    def __post_init__(self) -> None:
        allowed: dict[str, Any] = {"rules": rules_folders(), "kind": KINDS_OF_UNIT, "stands": STANDS}
        given = {name: getattr(self, name) for name in allowed}
        wrong = [
            f'{name}: found "{given[name]}"; allowed: {", ".join(words)}{near_miss(given[name], list(words))}'
            for name, words in allowed.items()
            if given[name] not in words
        ]
        for name in ("by_rail", "by_road"):
            try:
                if not self._miles(name) > 0:
                    raise ValueError
            except ValueError:
                wrong.append(f'{name}: found "{getattr(self, name)}"; allowed: a distance above 0 as 140 mile or 225 km')
        if not 0 <= self.holdover < 1e6:
            wrong.append(f"holdover: found {self.holdover:g}; allowed: money a day, at least 0")
        if wrong:
            raise PlannerError("\n".join(wrong))

    def _miles(self, name: str) -> float:
        return float(units.parse(getattr(self, name), "mile").magnitude)

    @property
    def unit(self) -> UnitKind:
        """What is known of the unit by its kind."""
        return KINDS_OF_UNIT[self.kind]

    @property
    def rail_at_both_ends(self) -> bool:
        """Whether rails lead from where it stands to the museum."""
        return self.stands == "joined_track" and self.rail_at_museum

    def why_not(self, carried_on: str, takes_out: str = "", trucks: str = "", interim: bool = False) -> str:
        """Return why a path has no place in this museum, by what carries the unit on one of its stages; blank: it has.

        Nothing is left out that a measure could still decide: that is what gates are for.
        """
        unit, rolling = self.unit, carried_on in ("own_wheels", "other_wheels")
        rail = self.stands == "joined_track" if interim else self.rail_at_both_ends
        if (rolling or carried_on == "flat_car") and not rail:
            return "no rails at both ends" if not interim else "no track that is joined to a railroad"
        if rolling and not unit.rolls:
            return "railroads cannot take it on its own wheels: another gauge, or other flanges"
        if carried_on == "other_wheels":
            if unit.boxes != "outside":
                return "its wheels run in inside boxes, which take no other bearing"
            if "motors" in takes_out and not unit.motors:
                return "it has no motors to take out"
            if trucks and not interim and unit.motors:
                return "its own trucks hold its motors"
        if carried_on == "transporter" and self._miles("by_road") > CRAWLED:
            return f"nobody crawls farther than {CRAWLED:g} miles"
        if carried_on == "roll_on_trailer" and self.stands == "ground":
            return "nothing rolls where it stands"
        return "it begins where no water is asked of" if carried_on == "barge" else ""


def ask_first(parser: argparse.ArgumentParser) -> None:
    """Add the first answers to a command line, each with its default."""
    own = StartingPoint()
    parser.add_argument("--rules", default=own.rules, help=f"country or state whose rules hold; default: {own.rules}")
    parser.add_argument("--kind", default=own.kind, help=f"kind of unit: {', '.join(KINDS_OF_UNIT)}; default: {own.kind}")
    parser.add_argument("--stands", default=own.stands, help=f"where it stands: {', '.join(STANDS)}; default: {own.stands}")
    parser.add_argument("--no-rail-at-museum", action="store_true", help="the museum's own track is joined to no railroad")
    for way in ("rail", "road"):
        default = getattr(own, f"by_{way}")
        parser.add_argument(f"--by-{way}", default=default, metavar="DISTANCE", help=f"how far by {way}; default: {default}")
    parser.add_argument("--seasons", action="store_true", help="frost laws and traffic peaks are to be thought of")
    parser.add_argument("--holdover", type=float, default=0.0, help="owner's charge a day after the deadline; default: 0")


def answered_first(options: argparse.Namespace) -> StartingPoint:
    """Return the first answers that a command line gave."""
    return StartingPoint(
        options.rules, options.kind, options.stands, not options.no_rail_at_museum, options.by_rail, options.by_road,
        options.seasons, options.holdover,
    )  # fmt: skip
