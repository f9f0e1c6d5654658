import difflib
import math
import re
from dataclasses import dataclass
from typing import Any

import pint
from pydantic import model_validator

from heritagemove.files.cells import Identifier, Number, OptionalDate, OptionalText, Text, choice
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import PROVENANCE, Strength
from heritagemove.units import units

#: Least value of a limit that somebody divides by.
ABOVE_ZERO = 1e-9


@dataclass(frozen=True)
class Asked:
    """What those who read a limit ask of it."""

    unit: str  # unit they count in; blank: a plain number
    least: float = ABOVE_ZERO  # range of the value in that unit
    most: float = math.inf

    @property
    def range(self) -> str:
        """The range in words."""
        low = "more than 0" if self.least == ABOVE_ZERO else f"at least {self.least:g}"
        return f"{low}{'' if self.most == math.inf else f', at most {self.most:g}'} {self.unit}".strip()


_ESCORTS = ("lead", "rear", "high_pole", "utility", "police")

#: Every limit that somebody reads, by what they ask of it.
_BY_KIND: dict[Asked, str] = {
    Asked("percent", most=100): """crane_single_share crane_tandem_share outrigger_share
        starting_adhesion bearing_sure side_booms_share side_booms_track_share
        skid_friction jack_and_roll_friction panel_track_friction""",
    Asked("percent", 0, 100): "ramp_grade tyre_rolling",
    Asked("percent", 0): "optimism_bias_cost_lower optimism_bias_cost_upper jack_and_roll_unevenness",
    Asked("", 1): "lift_factor chain_breaking_ratio side_booms_least side_booms_most",
    Asked("", 3): "jack_and_roll_points",
    Asked("", 0, 1): "trailer_steered_share",
    Asked("", most=1): """flat_car_share_to_10_ft flat_car_share_to_24_ft flat_car_share_within_truck_centres
        flat_car_share_beyond_truck_centres flat_car_zone_at_75_percent flat_car_zone_at_87_percent
        flat_car_zone_at_90_percent tie_down_weight_share tie_down_direct_credit""",
    Asked("", 0): """spacer_cars superload_police_cars restraint_breaking_forward restraint_breaking_rearward
        restraint_breaking_sideways restraint_working_forward restraint_working_rearward restraint_working_sideways
        restraint_downward tie_down_heavy_minimum riders_plain riders_other""",
    Asked(""): "hauler_chain_grade sail_drag",
    Asked("ft"): """power_line_to_50_kv power_line_to_200_kv power_line_to_350_kv
        power_line_to_500_kv power_line_to_750_kv power_line_to_1000_kv tie_down_short_length tie_down_spacing
        plate_b_height plate_c_height plate_e_height plate_f_height
        tandem_exception_length superload_width superload_height superload_length height_pole_from utility_escort_from
        legal_height side_booms_a_day skid_a_day jack_and_roll_a_day panel_track_a_day skid_mat_width
        panel_track_tie_length panel_track_panel """
    + " ".join(f"escort_{who}_{size}" for who in _ESCORTS for size in ("width", "height", "length")),
    Asked("ft", most=120): "plate_b_truck_centres plate_c_truck_centres",
    Asked("ft", 0): "crane_clearance",
    Asked("degree", 0, 20): "tandem_tilt",
    Asked("in", 0): """flat_car_blocking side_tolerance vertical_clearance wire_clearance turn_clearance wire_air_to_750_v
        wire_air_to_50_kv wire_air_to_345_kv wire_air_to_750_kv wire_air_to_1000_kv""",
    Asked("in"): """deck_rails_apart centre_of_gravity_high centre_of_gravity_authority flat_car_centre_of_gravity
        plate_width coupler_height_low coupler_height_high federal_single_spacing federal_tandem_spacing permit_close_spacing
        hauler_chain_size""",
    Asked("lb"): """tie_down_light_weight chain_working_load bridge_review_axle_load
        federal_single_axle federal_tandem_axle federal_gross bridge_formula_step superload_weight transporter_line_working
        permit_single_axle permit_tandem_axle permit_tandem_axle_close permit_tri_axle permit_tri_axle_close
        permit_quad_axle permit_quad_axle_close side_booms_rated_load side_booms_machine_weight jack_and_roll_jack""",
    Asked("hour", 0): "crane_set_up crane_per_lift crane_minimum_hire",
    Asked("hour", most=24): "crew_day_hours daylight_hours road_day_hours police_escort_hours",
    Asked("day", 0): """season_named_from flat_car_hire_extra_days interchange_dwell_days transporter_set_up_days
        crawl_days freight_car_age_petition side_booms_set_up_days skid_set_up_days jack_and_roll_set_up_days
        panel_track_set_up_days""",
    Asked("year"): "freight_car_age",
    Asked("mile"): "transfer_test_distance hot_box_car_miles",
    Asked("mph"): """lift_wind_stop plain_bearing_speed track_class_1_freight track_class_2_freight track_class_3_freight
        track_class_4_freight track_class_5_freight track_excepted_freight""",
    Asked("degree", 0, 90): "sling_lowest_angle road_tie_down_angle road_tie_down_bearing",
    Asked("degree", most=90): "plate_reference_curve",
    Asked("lbf"): "winch_line_rating hold_back_force tractor_pull shift_winch_pull",
    Asked("lbf/short_ton", 0): "starting_resistance_plain starting_resistance_roller grade_resistance curve_resistance",
    Asked("psf"): "transporter_ground_pressure",
    Asked("ft**2"): "side_booms_mat_area jack_and_roll_crib_area",
    Asked("ft**2/short_ton"): "sail_area_counted",
}
READ = {name: asked for asked, names in _BY_KIND.items() for name in names.split()}
#: Limits of which a table has as many as it likes: the ground by its name, chains by grade and size.
FAMILIES = {
    "bearing_GROUND": (r"bearing_.+", Asked("psf")),
    "chain_grade_GRADE_SIZE_in": (r"chain_grade_\d+_\d+(_\d+)?_in", Asked("lb")),
}


def asked_of(limit: str) -> Asked | None:
    """Return what those who read a limit ask of it; None where nobody reads it."""
    family = (asked for pattern, asked in FAMILIES.values() if re.fullmatch(pattern, limit))
    return READ.get(limit) or next(family, None)


class Limit(Row, read_by="gates"):
    """One published limit or planning policy."""

    limit: Identifier = column("id of the limit", key=True, read_by="screens")
    title: Text = column("what it limits", read_by="screens")
    value: Number = column("value")
    unit: OptionalText = column("unit; blank for a plain number")
    use: choice("checked", "shown") = column(
        "checked: an answer depends on it; shown: it stands here to be read", read_by="check"
    )
    strength: Strength = column("whether the source itself was read, a page that quotes it, or neither", read_by=PROVENANCE)
    source: Text = column("title, edition, section", read_by=PROVENANCE)
    as_of: OptionalDate = column("date of the edition, or the day the source was read where it has none", read_by=PROVENANCE)
    confirm_with: Text = column("who must confirm it before it is relied on", read_by=PROVENANCE)

    @model_validator(mode="after")
    def _as_its_readers_ask(self) -> Any:
        asked = asked_of(self.limit)
        if asked is None and self.use == "checked":
            close = difflib.get_close_matches(self.limit, READ, 1)
            hint = f" (did you mean {close[0]}?)" if close else ""
            raise ValueError(f"limit: an id that a check reads{hint}; a limit that none reads has the use shown")
        if asked is not None and self.use == "shown":
            raise ValueError("use: checked, since an answer depends on it")
        try:
            found = self.value if asked is None else self.quantity.magnitude
            if asked is None and self.unit and units.currencies(units.unit_of(self.unit)):
                raise ValueError
        except ValueError:
            if asked is None:
                raise ValueError("unit: a unit such as ft, lb or mph, or blank for a plain number") from None
            allowed = f"{asked.unit} or another unit of the same kind" if asked.unit else "blank, for a plain number"
            raise ValueError(f"unit: {allowed}") from None
        wanted = asked or Asked("", 0)
        if not wanted.least <= found <= wanted.most:
            raise ValueError(f"value: {wanted.range}")
        return self

    @property
    def number(self) -> float:
        """The value in the unit in which its readers count, as a plain number."""
        return self.value if (self.unit or "") == asked_of(self.limit).unit else self.quantity.magnitude

    @property
    def quantity(self) -> pint.Quantity:
        """The value in the unit in which its readers count."""
        return units.in_unit(self.value, self.unit or "", asked_of(self.limit).unit)
