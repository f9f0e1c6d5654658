import datetime as dt

from heritagemove.files.cells import (
    Date,
    Identifier,
    Identifiers,
    OptionalDate,
    OptionalText,
    Reference,
    Text,
    choice,
    quantity,
)
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, Basis


class Quote(Row, read_by="costs and dates"):
    """One quote received."""

    quote: Identifier = column("id of the quote", key=True)
    vehicle: Reference = column("unit", refers_to="vehicles.vehicle")
    path: Reference = column("path", refers_to="paths.path")
    lines: Identifiers = column("cost lines it covers", refers_to="cost_lines.line", same="path")
    vendor: Text = column("firm")
    amount: quantity("money") = column("amount")
    quoted: Date = column("date")
    valid_until: Date = column("last day it holds", at_least="quoted")
    inclusions: OptionalText = column("what is in it", read_by="screens")
    exclusions: OptionalText = column("what is not", read_by="screens")
    standby: quantity("money", blank=True) = column("standby charge an hour", read_by="screens")
    cancellation: OptionalText = column("terms of cancelling", read_by="screens")
    firmness: choice("firm", "budgetary") = column("whether it binds")
    basis: Basis = BASIS
    source: Text = SOURCE
    accepted: OptionalDate = column(
        "day it was accepted: it binds from then on; blank while it is not", at_least="quoted", at_most="valid_until"
    )

    def in_force(self, on: dt.date) -> bool:
        """Return whether it can be relied on at a date: given, and accepted or not yet expired."""
        accepted = self.accepted is not None and self.accepted <= on
        return self.quoted <= on and (accepted or on <= self.valid_until)
