from heritagemove.files.cells import Identifier, NonNegative, OptionalIdentifier, OptionalReference, Text, Year
from heritagemove.files.tables import column
from heritagemove.museum.columns import BASIS, SOURCE, Basis, Range, ThreePoint


class Rate(ThreePoint, read_by="costs and dates"):
    """One price."""

    rate: Identifier = column("id of the rate", key=True)
    equipment: OptionalReference = column(
        "crane, trailer or flat car this price is for",
        key=True,
        refers_to=("cranes.crane", "flat_cars.flat_car", "trailers.trailer"),
    )
    title: Text = column("what the price is for")
    low: NonNegative = column("low price")
    likely: NonNegative = column("likely price")
    high: NonNegative = column("high price")
    range: Range = column("what low and high mean")
    unit: Text = column("unit of the price, such as USD/crane_hour; money in the museum's currency")
    market: OptionalIdentifier = column("market whose prices rise together")
    price_year: Year = column("year of the price level", read_by="check")
    basis: Basis = BASIS
    source: Text = SOURCE
