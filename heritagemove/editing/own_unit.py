"""The rows that one unit needs: itself, its pieces, its axles."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping

from heritagemove.units import units
from heritagemove.units.units import PlannerError

_TITLES = {"whole": "The unit as it stands", "body": "Body without its trucks", "truck": "Truck with its wheels"}
#: What is asked of a unit beside its own cells: how, and what may be answered.
AXLES_ASKED = (
    "each axle's distance behind the front pulling face",
    "distances with ; between them, such as 7 ft 3 in; 15 ft 3 in or 2.2 m; 4.6 m",
)
TRUCKS_ASKED = "number of trucks that can be taken out", "a whole number from 0 to 99"


def axle_places(text: str) -> list[str] | None:
    """Return the distances of the axles as typed, or None unless they are distances that rise."""
    parts = [part.strip() for part in text.split(";")]
    try:
        feet = [units.parse(part, "ft").m_as("ft") for part in parts]
    except ValueError:
        return None
    return parts if feet[0] >= 0 and all(one < other for one, other in itertools.pairwise(feet)) else None


def axles_spread(places: list[str], length: str) -> list[str]:
    """Return axles as far apart as such units have them, for a unit of another length.

    Examples
    --------
    >>> axles_spread(["7.25 ft", "37.25 ft"], "13.6 m"), axles_spread(["7 ft", "37 ft"], "44 ft")
    (['2.22 m', '11.38 m'], ['7 ft', '37 ft'])
    """
    feet = [float(units.parse(place, "ft").magnitude) for place in places]
    factor = float(units.parse(length, "ft").magnitude) / (feet[0] + feet[-1])
    if factor == 1:
        return places
    metric = not re.search(r"ft|foot|feet|in|'", length)
    return [f"{place * factor * 0.3048:.2f} m" if metric else f"{place * factor:.2f} ft" for place in feet]


def shared_loads(weight: str, axles: int, unit: str) -> list[str]:
    """Return the weight of a unit in equal parts, one an axle."""
    return [f"{float(units.parse(weight, unit).magnitude) / axles:.0f} {unit}"] * axles


def pieces_of(vehicle: str, trucks: int) -> list[dict[str, str]]:
    """Return the pieces that a unit is moved as, of which nothing is known but what they are."""
    kinds = [("body", 1), ("truck", trucks)] if trucks else [("whole", 1)]
    return [
        {"vehicle": vehicle, "piece": kind, "title": _TITLES[kind], "kind": kind, "count": str(count),
         "wheels_on": "no" if kind == "body" else "yes"}
        for kind, count in kinds
    ]  # fmt: skip


def unit_rows(cells: Mapping[str, str]) -> dict[str, list[dict[str, str]]]:
    """Return the rows of a new unit by table.

    Parameters
    ----------
    cells : mapping of str to str
        Cells of vehicles.csv by column, with `axles` and `trucks` beside them.

    Raises
    ------
    PlannerError
        If the axles or the trucks cannot be read.
    """
    row = {name: text for name, text in cells.items() if name not in ("axles", "trucks")}
    says = {"basis": row.get("basis", ""), "source": row.get("source", "")}
    axles, trucks = axle_places(cells.get("axles", "")), cells.get("trucks", "").strip() or "0"
    wrong = [] if axles else [f'axles: found "{cells.get("axles", "")}"; allowed: {AXLES_ASKED[1]}']
    if not (trucks.isascii() and trucks.isdigit() and len(trucks) < 3):
        wrong.append(f'trucks: found "{trucks}"; allowed: {TRUCKS_ASKED[1]}')
    if wrong or axles is None:
        raise PlannerError("\n".join(wrong))
    vehicle = row.get("vehicle", "")
    return {
        "vehicles.csv": [row],
        "pieces.csv": [piece | says for piece in pieces_of(vehicle, int(trucks))],
        "axles.csv": [{"vehicle": vehicle, "axle": str(number), "position": place, "role": "truck"} | says
                      for number, place in enumerate(axles, start=1)],
    }  # fmt: skip
