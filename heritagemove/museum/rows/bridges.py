from heritagemove.files.cells import Identifier, OptionalNonNegative, OptionalText, Reference, Text, choice, quantity
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank


class Bridge(Row, read_by="gates, costs and dates"):
    """One structure on a leg."""

    bridge: Identifier = column("id of the bridge", key=True)
    leg: Reference = column("leg it stands on", refers_to="legs.leg")
    title: Text = column("what it is")
    span: quantity("ft", blank=True) = column("simple span")
    rating: choice("cooper_e", "hs20_factor") = column("what the ratings count")
    normal: OptionalNonNegative = column("normal (inventory) rating")
    maximum: OptionalNonNegative = column("maximum (operating) rating", at_least="normal")
    posted_limit: quantity("short_ton", blank=True) = column("posted weight limit")
    note: OptionalText = column("condition and inspection", read_by="screens")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
