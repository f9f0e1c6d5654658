"""A museum in which the trailer goes no farther than the lead siding, and a flat car takes the unit on from there."""

ROAD, RAIL, FIRST = "move", "rail", "foundry_gate"


def road_then_rail(museum):
    """Return the museum with the trailer path in two stages; what the flat car needs is done when the trailer is there.

    Every row of the flat car's path comes along in the stage `rail`; what was the trailer's own is of the stage `road`.
    """
    short = road_alone(museum)
    (road,) = short.stages_of("trailer")
    flat = museum.stages_of("flat_car")[0]
    road = road.model_copy(update={"interim": False})
    rail = flat.model_copy(
        update={"path": "trailer", "stage": RAIL, "order": 2, "title": "By flat car to the museum",
                "from_place": "lead_siding", "legs": flat.legs[1:]},
    )  # fmt: skip
    there = next(row.task for row in short.of_path("tasks", "trailer") if "leaves" in row.milestone)
    moved = {table: getattr(short, table) for table in ("tasks", "cost_lines", "risks", "gates")}
    moved["tasks"] += tuple(behind(row, there) for row in museum.of_path("tasks", "flat_car"))
    named = {"cost_lines": "line", "risks": "risk", "gates": "gate"}
    for table, key in named.items():
        rows = (row for row in museum.of_path(table, "flat_car") if table != "gates" or row.check)
        moved[table] += tuple(on_rails(row, key) for row in rows)
    stages = tuple(row for row in short.stages if row.path != "trailer")
    return short.with_changes(stages=(*stages, road, rail), **moved)


def road_alone(museum):
    """Return the museum with the trailer path cut off at the siding: what its first stage is by itself, with a pad there."""
    stage = museum.stages_of("trailer")[0].model_copy(
        update={"stage": ROAD, "title": "By trailer to the siding", "to_place": "lead_siding", "legs": (FIRST,),
                "interim": True},
    )  # fmt: skip
    moved = {
        table: tuple(r.model_copy(update={"stage": ROAD}) if r.path == "trailer" and r.stage is None else r for r in rows)
        for table, rows in ((table, getattr(museum, table)) for table in ("tasks", "cost_lines", "risks"))
    }
    legs = tuple(r.model_copy(update={"to_place": "lead_siding"}) if r.leg == FIRST else r for r in museum.legs)
    stages = tuple(stage if row.path == "trailer" else row for row in museum.stages)
    tasks = tuple(
        r.model_copy(update={"milestone": tuple(m for m in r.milestone if m != "arrived")}) if r.path == "trailer" else r
        for r in moved.pop("tasks")
    )
    pad = next(row for row in museum.places if row.place == "museum")
    pads = tuple(
        pad.model_copy(update={"place": r.place, "title": r.title, "kind": "transfer"}) if r.place == "lead_siding" else r
        for r in museum.places
    )
    return museum.with_changes(stages=stages, legs=legs, tasks=tasks, places=pads, **moved)


def behind(row, there):
    """Return a task of the flat car as one of the rail stage, which begins when the trailer is at the siding."""
    after = tuple(f"{RAIL}_{task}" for task in row.after) or (there,)
    milestone = tuple(m for m in row.milestone if m == "arrived")
    update = {"path": "trailer", "task": f"{RAIL}_{row.task}", "after": after, "milestone": milestone, "stage": RAIL}
    return row.model_copy(update=update)


def on_rails(row, key):
    """Return a row of the flat car as one of the rail stage."""
    task = row.task and f"{RAIL}_{row.task}"
    return row.model_copy(update={"path": "trailer", key: f"{RAIL}_{getattr(row, key)}", "task": task, "stage": RAIL})
