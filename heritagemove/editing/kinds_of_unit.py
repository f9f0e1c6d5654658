"""Kinds of unit to begin a museum with: what is known of a unit by its kind alone, before anybody has measured it.

How a unit is laid out stands here; what it typically measures stands in typical.csv, as ranges under its kind or type.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

_TRUCKS = (("body", "Body without its trucks", "body", 1, "no"), ("truck", "Truck with its wheels", "truck", 2, "yes"))
_WHOLE = (("whole", "The unit as it stands", "whole", 1, "yes"),)
_WITH_TENDER = (("engine", "Engine without its tender", "body", 1, "yes"), ("tender", "Tender", "tender", 1, "yes"))
_FOUR, _SIX = "truck " * 4, "truck " * 6


@dataclass(frozen=True)
class UnitKind:
    """One kind of unit, as a museum begins with it."""

    title: str
    kind: str  # as vehicles.csv has it
    like: str  # unit of the demo whose survey and quantities are asked of this kind
    type: str = ""  # type in typical.csv, where it differs from what is typical of the kind
    positions: str = ""  # axles behind the front pulling face, as such units have them [ft]
    roles: str = _FOUR  # of each axle
    pieces: tuple[tuple[str, str, str, int, str], ...] = _TRUCKS  # id, title, kind, how many, whether wheels stay on
    motors: int = 0
    boxes: str = "outside"  # where its journal boxes sit
    built: int = 1950  # a year of the many
    rolls: bool = True  # whether railroads can take it on its own wheels: of their gauge, with a railroad's flanges


KINDS_OF_UNIT: Mapping[str, UnitKind] = {
    "diesel_locomotive": UnitKind(
        "Diesel locomotive, four axles", "diesel_locomotive", "foundry_switcher", "", "7.25;15.25;29.25;37.25", motors=4
    ),
    "six_axle_diesel": UnitKind(
        "Diesel locomotive, six axles", "diesel_locomotive", "road_diesel", "six_axle_diesel",
        "6.05;12.85;19.65;41.05;47.85;54.65", _SIX, motors=6,
    ),
    "electric_locomotive": UnitKind(
        "Electric locomotive", "electric_locomotive", "foundry_switcher", "", "7;15;31;39", motors=4, built=1930
    ),
    "steam_with_tender": UnitKind(
        "Steam locomotive with a tender", "steam_locomotive", "consolidation", "steam_with_tender",
        "6.5;14.5;20;25.5;31;41;46.5;56.5;62", "engine_truck " + "driver " * 4 + "tender " * 4, _WITH_TENDER, boxes="mixed",
        built=1920,
    ),
    "tank_engine": UnitKind(
        "Steam locomotive without a tender", "steam_locomotive", "consolidation", "tank_engine", "8;13;18", "driver " * 3,
        _WHOLE, boxes="inside", built=1920,
    ),
    "articulated_steam": UnitKind(
        "Articulated steam locomotive with a tender", "steam_locomotive", "consolidation", "articulated_steam",
        "7;14;19;24;29;36;41;46;51;60;68;73;83;88",
        "engine_truck " + "driver " * 8 + "trailing_truck " + "tender " * 4, _WITH_TENDER, boxes="mixed", built=1925,
    ),
    "railcar": UnitKind("Railcar or interurban", "railcar", "coach", "", "6;13;45;52", motors=2, built=1928),
    "streetcar": UnitKind("Streetcar", "streetcar", "coach", "", "8;13;31;36", motors=4, built=1925, rolls=False),
    "passenger_car": UnitKind(
        "Passenger car", "passenger_car", "coach", "", "5.75;11.25;16.75;65.25;70.75;76.25", _SIX, built=1924
    ),
    "freight_car": UnitKind("Freight car", "freight_car", "boxcar", "", "4.05;9.55;34.75;40.25"),
    "caboose": UnitKind("Caboose", "caboose", "caboose", "", "4.4;9.9;26.1;31.6", built=1941),
    "crane": UnitKind("Railway crane", "crane", "boxcar", "", "4;9.5;17.5;23", built=1945),
    "narrow_gauge_engine": UnitKind(
        "Narrow-gauge steam locomotive", "steam_locomotive", "consolidation", "narrow_gauge_engine", "6;9.5;13",
        "driver " * 3, _WHOLE, boxes="inside", built=1910, rolls=False,
    ),
    "narrow_gauge_car": UnitKind(
        "Narrow-gauge car", "passenger_car", "coach", "narrow_gauge_car", "4;8.5;27;31.5", built=1905, rolls=False
    ),
}  # fmt: skip
