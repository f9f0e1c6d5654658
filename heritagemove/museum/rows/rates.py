from heritagemove.files.cells import (
    Identifier,
    Identifiers,
    NonNegative,
    OptionalIdentifier,
    OptionalNonNegative,
    OptionalReference,
    Text,
    Year,
    quantity,
)
from heritagemove.files.tables import column
from heritagemove.museum.columns import BASIS, PROVENANCE, SOURCE, STARTER, Basis, Range, ThreePoint, YesOrBlank


class Rate(ThreePoint, read_by="costs and dates"):
    """One price."""

    rate: Identifier = column("id of the rate", key=True)
    equipment: OptionalReference = column(
        "crane, trailer or flat car this price is for; a line of a whole path takes the dearest of what its stages ride on",
        key=True,
        refers_to=("cranes.crane", "flat_cars.flat_car", "trailers.trailer"),
    )
    at_weight: quantity("lb", blank=True, above=0.0) = column(
        "weight of the load that this price is for: between two rows of one rate and equipment the price runs on, beyond "
        "the ends it stays; blank: the weight does not matter",
        key=True,
        default=None,
    )
    title: Text = column("what the price is for")
    low: NonNegative = column("low price")
    likely: NonNegative = column("likely price")
    high: NonNegative = column("high price")
    range: Range = column("what low and high mean")
    unit: Text = column("unit of the price, such as USD/crane_hour; money in the museum's currency")
    market: OptionalIdentifier = column("market whose prices rise together")
    price_year: Year = column("year of the price level")
    price_index: OptionalReference = column(
        "index that brings the price from its price_year to the year in which its task ends; blank, and for a quote: "
        "the price stays",
        refers_to="price_indexes.price_index",
        default=None,
    )
    least: OptionalNonNegative = column("minimum hire: least units that are charged, in the price's own count", default=None)
    least_for: OptionalReference = column(
        "driver for each of which the least is charged, such as crane_calls; blank: once a line",
        refers_to="drivers",
        default=None,
    )
    tax: OptionalReference = column(
        "tax that comes on top; blank: none, or the museum is exempt", refers_to="taxes.tax", default=None
    )
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
    source_ids: Identifiers = column(
        "published sources behind the price", refers_to="sources.source_id", default=(), read_by=PROVENANCE
    )

    @property
    def name(self) -> tuple[str, str | None] | tuple[str, str | None, float]:
        """The name that its draws go by: rate and equipment, and the weight [lb] where the price hangs on it."""
        plain = self.rate, self.equipment
        return plain if self.at_weight is None else (*plain, self.at_weight.m_as("lb"))
