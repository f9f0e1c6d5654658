from heritagemove.files.cells import Date, Identifier, OptionalReference, OptionalText, Reference, Text, YesNo, quantity
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, Basis


class Actual(Row, read_by="costs and dates"):
    """One invoice."""

    invoice: Identifier = column("id of the invoice", key=True)
    invoiced: Date = column("date")
    vehicle: Reference = column("unit", refers_to="vehicles.vehicle")
    path: Reference = column("path", refers_to="paths.path")
    line: Reference = column("cost line", refers_to="cost_lines.line", same="path")
    vendor: Text = column("firm or role", read_by="screens")
    amount: quantity("money") = column("amount")
    paid: YesNo = column("whether it is paid", read_by="screens")
    note: OptionalText = column("note", read_by="screens")
    basis: Basis = BASIS
    source: Text = SOURCE
    quote: OptionalReference = column(
        "quote it bills: it pays for that quote's lines; blank: for its own line", refers_to="quotes.quote"
    )
    final: YesNo = column("whether nothing more comes for what it pays for")
