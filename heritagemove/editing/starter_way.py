"""The way of a new museum: where its unit stands and ends, and legs of which nobody knows more than their length."""

from __future__ import annotations

from collections.abc import Collection

from heritagemove.editing.starting_point import StartingPoint
from heritagemove.museum.rules_folders import is_country, rules_folders

SITE, MUSEUM, SIDING = "the_site", "the_museum", "the_siding"
SITE_TRACK, RAIL, ROAD = "site_track", "rail_route", "road_route"
#: Length of the track from the site to the railroad, until somebody has measured it; the rest is the railroad's.
_SITE_TRACK = 1.0  # mile
_UNASKED = "Nobody has asked its owner yet."


def starter_places(point: StartingPoint, storage_rate: str, siding: bool) -> list[dict[str, str]]:
    """Return the places: what nobody has measured of them is blank."""
    named = {SITE: "site", MUSEUM: "museum"} | ({SIDING: "storage"} if siding else {})
    titles = {"site": "The site", "museum": "The museum", "storage": "A siding near the site"}
    return [
        {"place": place, "title": titles[kind], "kind": kind, "owner": f"Whoever owns the {titles[kind].split()[1]}",
         "storage_rate": storage_rate if kind == "storage" else ""}
        for place, kind in named.items()
    ]  # fmt: skip


def starter_legs(point: StartingPoint, carried_on: Collection[str], siding: bool) -> list[dict[str, str]]:
    """Return the legs that stages run over, each with its length and the speeds of its kind.

    Parameters
    ----------
    carried_on : collection of str
        What the stages of the museum's paths ride on.
    siding : bool
        Whether some path ends at a siding beside the track from the site.
    """
    folder = rules_folders()[point.rules]
    state = {"state": "our_state" if is_country(folder) else point.rules}
    permits = {"permit_table": "" if is_country(folder) else "limits"}
    found = []
    if {*carried_on} & {"own_wheels", "other_wheels", "flat_car"}:
        found.append({
            "leg": SITE_TRACK, "mode": "rail", "from_place": SITE, "to_place": SIDING if siding else "",
            "name": "Track from the site", "owner": "site",
            "carrier": "local_railroad", "length": _typed(_SITE_TRACK, point), "speed": _speed(10, point),
            "special_speed": _speed(5, point),
        })
        if point.rail_at_both_ends:
            found.append({
                "leg": RAIL, "mode": "rail", "from_place": SIDING if siding else "", "to_place": MUSEUM,
                "name": "Rail route", "owner": "class_one",
                "carrier": "main_line_railroad", "length": point.by_rail, "speed": _speed(40, point),
                "special_speed": _speed(25, point),
            })
    found.append({
        "leg": ROAD, "mode": "road", "from_place": SITE, "to_place": MUSEUM, "name": "Road route", "owner": "state",
        "length": point.by_road, "speed": _speed(45, point), "special_speed": _speed(30, point), **permits,
    })  # fmt: skip
    for order, leg in enumerate(found, 1):
        leg |= {"order": str(order), **state, "policy": _UNASKED}
    return found


def way_of(carried_on: str, interim: bool) -> dict[str, str]:
    """Return where a stage begins and ends, and its legs."""
    if interim:
        return {"from_place": SITE, "to_place": SIDING, "legs": SITE_TRACK}
    rail = carried_on in ("own_wheels", "other_wheels", "flat_car")
    return {"from_place": SITE, "to_place": MUSEUM, "legs": f"{SITE_TRACK};{RAIL}" if rail else ROAD}


def _typed(miles: float, point: StartingPoint) -> str:
    return f"{miles * 1.609344:.3g} km" if point.rules == "melderbach" else f"{miles:g} mile"


def _speed(mph: float, point: StartingPoint) -> str:
    return f"{round(mph * 1.609344, -1):g} km/h" if point.rules == "melderbach" else f"{mph:g} mph"
