"""A museum that grows: legs, bridges, units and pieces added and taken out, with all that hangs on them."""

from __future__ import annotations

from collections.abc import Mapping

from heritagemove.editing.rows_as_typed import OWN, TypedRows, mark_entered, typed_rows, with_rows, without_stale_bases
from heritagemove.editing.writing import Typed
from heritagemove.units.units import PlannerError


def _new_id(rows: TypedRows, column: str, stem: str) -> str:
    taken = {row[column] for row in rows}
    return next(name for name in (f"{stem}_{number}" for number in range(2, 10_000)) if name not in taken)


def _stage_legs(stage: Mapping[str, str]) -> list[str]:
    return [leg.strip() for leg in stage["legs"].split(";") if leg.strip()]


def with_leg(typed: Typed, after: str) -> Typed:
    """Return the museum with one more leg behind another: every stage that runs over that one runs over both.

    Its length is a mile, and nothing else of it is known.
    """
    legs, stages = typed_rows(typed, "legs.csv"), typed_rows(typed, "stages.csv")
    place = next(number for number, row in enumerate(legs) if row["leg"] == after)
    before = legs[place]
    kept = ("mode", "owner", "state", "speed", "special_speed", "policy", "carrier")
    new = dict.fromkeys(before, "") | {name: before.get(name, "") for name in kept} | {
        "leg": _new_id(legs, "leg", before["leg"]), "length": "1 mile", "to_place": before["to_place"], "wires": "0",
        "name": f"{before['mode'].capitalize()} leg {_number(legs, before) + 1}",
    }  # fmt: skip
    new |= OWN
    before["to_place"] = ""
    legs.insert(place + 1, new)
    for stage in stages:
        over = _stage_legs(stage)
        if after in over:
            over.insert(over.index(after) + 1, new["leg"])
            stage["legs"] = ";".join(over)
    return with_rows(typed, {"legs.csv": _numbered(legs), "stages.csv": stages})


def _number(legs: TypedRows, leg: Mapping[str, str]) -> int:
    return [row["leg"] for row in legs if row["mode"] == leg["mode"]].index(leg["leg"]) + 1


def _numbered(legs: TypedRows) -> TypedRows:
    """Return the legs in the order of each mode, as they stand."""
    return [row | {"order": str(_number(legs, row))} for row in legs]


def without_leg(typed: Typed, leg: str) -> Typed:
    """Return the museum without a leg and its bridges; what came before it goes on to where it went.

    Raises
    ------
    PlannerError
        If a stage would have no leg left.
    """
    legs, stages = typed_rows(typed, "legs.csv"), typed_rows(typed, "stages.csv")
    gone = next(row for row in legs if row["leg"] == leg)
    for stage in stages:
        over = _stage_legs(stage)
        if over == [leg]:
            raise PlannerError(f"{gone['name']}: found the only leg of {stage['title']}; allowed: a leg beside others")
        if leg in over:
            place = over.index(leg)
            beside = {row["leg"]: row for row in legs}
            if place and gone["to_place"]:
                beside[over[place - 1]]["to_place"] = gone["to_place"]
            if place + 1 < len(over) and gone["from_place"]:
                beside[over[place + 1]]["from_place"] = gone["from_place"]
            stage["legs"] = ";".join(over[:place] + over[place + 1 :])
    bridges = [row for row in typed_rows(typed, "bridges.csv") if row["leg"] != leg]
    rest = [row for row in legs if row["leg"] != leg]
    tables = {"legs.csv": _numbered(rest), "stages.csv": stages, "bridges.csv": bridges}
    return without_stale_bases(with_rows(typed, tables))


def with_bridge(typed: Typed, leg: str) -> Typed:
    """Return the museum with one more bridge on a leg; nothing is known of it, and the leg's bridges are listed now."""
    legs, bridges = typed_rows(typed, "legs.csv"), typed_rows(typed, "bridges.csv")
    own = next(row for row in legs if row["leg"] == leg)
    number = sum(row["leg"] == leg for row in bridges) + 1
    new = {
        "bridge": _new_id(bridges, "bridge", f"{leg}_bridge"), "leg": leg, "title": f"Bridge {number} of {own['name']}",
        "rating": "cooper_e" if own["mode"] == "rail" else "hs20_factor",
    }  # fmt: skip
    own["bridges"] = "listed"
    typed = with_rows(typed, {"legs.csv": legs, "bridges.csv": [*bridges, new | OWN]})
    return mark_entered(typed, "legs.csv", {"leg": leg}, ["bridges"])


def without_bridge(typed: Typed, bridge: str) -> Typed:
    """Return the museum without a bridge; where it was a leg's last one, nobody has said now whether there are any."""
    legs, bridges = typed_rows(typed, "legs.csv"), typed_rows(typed, "bridges.csv")
    gone = next(row for row in bridges if row["bridge"] == bridge)
    rest = [row for row in bridges if row is not gone]
    for leg in legs:
        if leg["leg"] == gone["leg"] and not any(row["leg"] == gone["leg"] for row in rest):
            leg["bridges"] = ""
    return without_stale_bases(with_rows(typed, {"legs.csv": legs, "bridges.csv": rest}))


def with_piece(typed: Typed, vehicle: str) -> Typed:
    """Return the museum with one more piece of a unit: something that is taken out and carried by itself."""
    pieces = typed_rows(typed, "pieces.csv")
    own = [row for row in pieces if row["vehicle"] == vehicle]
    said = {"vehicle": vehicle, "piece": _new_id(own, "piece", "part"), "title": "A part taken out", "kind": "part"}
    new = said | {"count": "1", "wheels_on": "no"} | OWN
    place = pieces.index(own[-1]) + 1
    return with_rows(typed, {"pieces.csv": [*pieces[:place], new, *pieces[place:]]})


def without_piece(typed: Typed, vehicle: str, piece: str) -> Typed:
    """Return the museum without a piece of a unit.

    Raises
    ------
    PlannerError
        If it is what the unit is carried as.
    """
    pieces = typed_rows(typed, "pieces.csv")
    gone = next(row for row in pieces if (row["vehicle"], row["piece"]) == (vehicle, piece))
    if gone["kind"] in ("whole", "body"):
        raise PlannerError(f"{gone['title']}: found what the unit is carried as; allowed: another piece")
    carried = [row for row in typed_rows(typed, "piece_carriage.csv") if (row["vehicle"], row["piece"]) != (vehicle, piece)]
    tables = {"pieces.csv": [row for row in pieces if row is not gone], "piece_carriage.csv": carried}
    return without_stale_bases(with_rows(typed, tables))


def with_unit(typed: Typed, like: Typed) -> Typed:
    """Return the museum with one more unit: that of a museum just begun, under an id of its own."""
    first = typed_rows(like, "vehicles.csv")[0]["vehicle"]
    vehicles = typed_rows(typed, "vehicles.csv")
    own = _new_id(vehicles, "vehicle", "our_unit")
    tables = {}
    for file in ("vehicles.csv", "pieces.csv", "axles.csv", "survey.csv", "quantities.csv"):
        new = [row | {"vehicle": own} for row in typed_rows(like, file) if row["vehicle"] == first]
        tables[file] = [*typed_rows(typed, file), *new]
    tables["vehicles.csv"][-1]["name"] = f"Our unit {len(vehicles) + 1}"
    return with_rows(typed, tables)


def without_unit(typed: Typed, vehicle: str) -> Typed:
    """Return the museum without a unit and without all that is known of it.

    Raises
    ------
    PlannerError
        If it is the only one.
    """
    if len(typed_rows(typed, "vehicles.csv")) == 1:
        raise PlannerError("unit: found the only one; allowed: a unit beside others")
    tables = {}
    for file in typed.tables:
        rows = typed_rows(typed, file)
        if any(row.get("vehicle") == vehicle for row in rows):
            tables[file] = [row for row in rows if row.get("vehicle") != vehicle]
    return without_stale_bases(with_rows(typed, tables))


def with_row(typed: Typed, table: str, cells: Mapping[str, str]) -> Typed:
    """Return the museum with one more row of a table, such as a fund or a quote."""
    return with_rows(typed, {table: [*typed_rows(typed, table), cells]})
