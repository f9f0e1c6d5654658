"""The row model of every table, one file a table, named as the table.

A column says everything about itself once: it validates, cross-checks, documents and labels. A new
table is one file here and its name in the list below.
"""

from importlib import import_module

from heritagemove.files.tables import Row

#: The tables of a museum's folder, in the order in which a planner meets them.
_MUSEUM = """vehicles pieces axles survey paths places legs stages piece_carriage quantities tasks alterations
cost_lines rates taxes donations risks gates bridges cranes engines flat_cars donor_trucks tie_down_drawings trailers
trailer_axles calendars funds quotes actuals criteria scores call_outs inquiries progress changes
upkeep extensions bases"""
#: The tables that every museum shares.
_REFERENCE = """limits journal_ratings typical cautions clues readiness estimate_classes estimating_errors overruns
price_indexes sources"""


def _model(table: str) -> type[Row]:
    """Return the row model that a table's file defines."""
    module = import_module(f"{__name__}.{table}")
    own = (kind for kind in vars(module).values() if getattr(kind, "__module__", "") == module.__name__)
    return next(kind for kind in own if isinstance(kind, type) and issubclass(kind, Row))


#: File name -> row model.
MUSEUM_TABLES: dict[str, type[Row]] = {f"{table}.csv": _model(table) for table in _MUSEUM.split()}
REFERENCE_TABLES: dict[str, type[Row]] = {f"{table}.csv": _model(table) for table in _REFERENCE.split()}
#: Name of the table -> row model, for both.
TABLES = {file.removesuffix(".csv"): model for file, model in (MUSEUM_TABLES | REFERENCE_TABLES).items()}
