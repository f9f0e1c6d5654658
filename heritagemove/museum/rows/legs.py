from heritagemove.files.cells import (
    Count,
    Identifier,
    OptionalCount,
    OptionalIdentifier,
    OptionalReference,
    OptionalText,
    Text,
    choice,
    quantity,
)
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank


class Leg(Row, read_by="gates, costs and dates"):
    """One leg of a route by rail, road, ground or water; a blank limit is unknown, not zero."""

    leg: Identifier = column("id of the leg", key=True)
    mode: choice("rail", "road", "ground", "water") = column("rail, road, ground (a shift aside) or water")
    from_place: OptionalReference = column(
        "place where it begins; blank where it only goes on from the leg before it", refers_to="places.place"
    )
    to_place: OptionalReference = column(
        "place where it ends; blank where it only goes on in the leg behind it", refers_to="places.place"
    )
    order: Count = column("order from site to museum", unique=True, same="mode")
    name: Text = column("name")
    owner: choice("site", "short_line", "class_one", "museum", "town", "county", "state") = column("owner")
    carrier: OptionalIdentifier = column("railroad that moves the unit over it")
    length: quantity("mile") = column("length")
    speed: quantity("mph", blank=True, above=0) = column("ordinary speed")
    special_speed: quantity("mph", blank=True, above=0) = column("speed of this move", at_most="speed")
    hours_a_day: quantity("hour", blank=True, above=0) = column(
        "hours a day in which its owner lets a load on the road run, curfews taken off; blank: no curfew of its own",
        default=None,
    )
    state: OptionalIdentifier = column("state, or other office that gives permits of its own, it runs through", default=None)
    track_class: OptionalText = column("federal track class, or excepted")
    curve: quantity("degree", blank=True) = column("sharpest curve, degrees of a 100-ft chord")
    grade: quantity("percent", blank=True) = column("steepest grade")
    gross_limit: quantity("lb", blank=True) = column("gross rail load limit of a four-axle car")
    axle_limit: quantity("lb", blank=True) = column("limit of one axle")
    bridges: choice("listed", "none", blank=True) = column(
        "listed: all its bridges stand in bridges.csv; none: it has no bridge; blank: nobody has said"
    )
    clear_height: quantity("ft", blank=True) = column("lowest fixed structure above rail or road")
    clear_half_width: quantity("ft", blank=True) = column("clear width from the track's centre line")
    wires: OptionalCount = column("wires over the road")
    lowest_wire: quantity("ft", blank=True) = column("height of the lowest wire")
    wire_voltage: quantity("kV", blank=True) = column("highest voltage of the low wires; 0 kV: telephone and cable only")
    turn_angle: quantity("degree", blank=True) = column("angle by which the road turns at its tightest turn; 0 deg for none")
    turn_outer_radius: quantity("ft", blank=True) = column("radius of the outer edge of that turn")
    turn_width: quantity("ft", blank=True) = column("clear width at the middle of that turn, square to its outer edge")
    width_limit: quantity("ft", blank=True) = column("clear width of its narrowest gate, where the road runs straight")
    permit_table: choice("limits", "none", blank=True) = column(
        "limits: the permit_ rows of limits.csv are those of its state; none: its state publishes no table; blank: unknown"
    )
    detour_for: OptionalReference = column("road bridge that a load avoids by adding this leg", refers_to="bridges.bridge")
    policy: Text = column("owner's policy, season and hours", read_by="screens")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
