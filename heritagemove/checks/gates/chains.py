"""The chains on a road load: what the hauler's chain holds, how many are needed, what 49 CFR 393 asks of them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pint

from heritagemove.checks.gates.lookup import limit
from heritagemove.checks.road import restraint, securement
from heritagemove.museum.museum import Museum
from heritagemove.units.units import Quantity


def chain(museum: Museum) -> pint.Quantity | None:
    """Return the working load limit of the hauler's chain [lb]: the one entered, never more than 49 CFR 393.108 lists."""
    entered, size = limit(museum, "chain_working_load", "lb"), limit(museum, "hauler_chain_size", "in")
    grade = museum.limit("hauler_chain_grade")
    if None in (entered, size, grade):
        return None
    prefix = f"chain_grade_{grade:g}_"
    names = [row.limit for row in museum.limits if row.limit.startswith(prefix)]
    sizes = np.array([_inches(name.removeprefix(prefix)) for name in names])
    limits = np.array([limit(museum, name, "lb").m_as("lb") for name in names])
    listed = securement.chain_working_load(size, Quantity(sizes, "in"), Quantity(limits, "lb")) if names else None
    return None if listed is None else min(entered, listed)


def _inches(name: str) -> float:
    """Read the size in a limit's id, such as 5_16_in, as inches."""
    over, _, under = name.removesuffix("_in").partition("_")
    return float(over) / float(under or 1)


def chains(museum: Museum, weight: pint.Quantity | None, length: pint.Quantity | None, wheeled: bool) -> float | None:
    """Return the chains that hold a road load by the rule that asks for most; None where something is missing."""
    rules, forces, working = chain_rules(museum), chain_forces(museum), chain(museum)
    if None in (rules, forces, weight, length, working):
        return None
    by_rule = securement.tie_downs(weight, length, working, True, True, wheeled, **rules)
    angles = forces["angle"], forces["bearing"]
    strengths, shares = forces["strengths"], forces["shares"]
    by_force = (restraint.chains_to_hold(weight, strengths[kind], shares[kind], *angles) for kind in strengths)
    return float(max(by_rule, *by_force))


def chain_forces(museum: Museum) -> dict[str, Any] | None:
    """Return strengths, accelerations and angles of 49 CFR 393.102 by the names that restraint gives them."""
    working, ratio = chain(museum), museum.limit("chain_breaking_ratio")
    angles = {name: limit(museum, f"road_tie_down_{name}", "degree") for name in ("angle", "bearing")}
    sets = {"breaking strength": "breaking", "working load limit": "working"}
    down = museum.limit("restraint_downward")
    shares = {
        kind: (*(museum.limit(f"restraint_{short}_{way}") for way in ("forward", "rearward", "sideways")), down)
        for kind, short in sets.items()
    }
    if None in (working, ratio, *angles.values(), *(share for row in shares.values() for share in row)):
        return None
    strengths = {"breaking strength": working * ratio, "working load limit": working}
    return {"strengths": strengths, "shares": shares, **angles}


def chain_rules(museum: Museum) -> dict[str, Any] | None:
    """Return the limits of 49 CFR 393.106, .110 and .130 by the names the securement functions give them."""
    names = ("weight_share", "direct_credit", "short_length", "light_weight", "spacing", "heavy_minimum")
    rules: dict[str, Any] = {name: museum.limit(f"tie_down_{name}") for name in names}
    if None in rules.values():
        return None
    units = {"short_length": "ft", "light_weight": "lb", "spacing": "ft"}
    return {name: Quantity(rule, units[name]) if name in units else rule for name, rule in rules.items()}
