from heritagemove.files.cells import Identifier, OptionalNonNegative, Reference, Text, choice, quantity, whole
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank


class TrailerAxles(Row, read_by="gates"):
    """One group of axles of a trailer, which carry alike; the groups of a trailer follow each other from the front."""

    trailer: Reference = column("id of the trailer type", key=True, refers_to="trailers.trailer")
    group: Identifier = column("id of the group within the trailer", key=True)
    part: choice("truck", "jeep", "deck", "booster", "pusher") = column(
        "what stands on it: pulling truck, jeep or front dolly, deck, booster, pushing truck"
    )
    axles: whole(1, 40) = column("axles of the group")
    hitch: quantity("ft", blank=True) = column(
        "where its part rests on the part before it, from the first axle; blank: it stands on its own axles alone"
    )
    empty: quantity("lb", above=0) = column("weight on these axles without a load")
    share: OptionalNonNegative = column("its share of what the axles of its part carry; blank: as its axles count")
    axle_limit: quantity("lb", above=0) = column("greatest load of one of these axles")
    title: Text = column("what it is called")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
