from heritagemove.files.cells import Identifier, Text, quantity
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank


class Crane(Row, read_by="gates, costs and dates"):
    """One point of one crane's load chart."""

    crane: Identifier = column("id of the crane class", key=True)
    title: Text = column("what it is", read_by="screens")
    radius: quantity("ft") = column("radius of the lift", key=True)
    capacity: quantity("short_ton") = column("rated capacity at that radius")
    crane_weight: quantity("short_ton") = column("weight of the crane as it lifts", one_per="crane")
    outrigger_half_spread: quantity("ft", blank=True, above=0) = column(
        "from the centre of rotation to the outrigger floats beside it", one_per="crane"
    )
    tail_swing: quantity("ft", blank=True, above=0) = column(
        "from the centre of rotation to the tail of the counterweight", one_per="crane"
    )
    hook_block: quantity("lb", blank=True) = column("weight of the hook block", one_per="crane")
    rigging_weight: quantity("lb", blank=True) = column(
        "weight of slings, shackles and spreader on each hook", one_per="crane"
    )
    set_up: quantity("hour", blank=True) = column(
        "hours of rigging it in and out; blank: crane_set_up of limits.csv", default=None, one_per="crane"
    )
    wind_limit: quantity("mph", blank=True, above=0) = column("highest wind of its load chart", one_per="crane")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
