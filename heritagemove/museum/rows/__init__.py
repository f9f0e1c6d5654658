"""The row model of every table: written once, it validates, documents and labels.

Each field is a column. Its description becomes the column's line in ``data/README.md`` and its
label in a panel; its type reads the cell and says what is allowed.
"""

from heritagemove.files.tables import Row
from heritagemove.museum.rows.choosing import Criterion, EstimateClass, Inquiry, Score
from heritagemove.museum.rows.following import Change, Progress
from heritagemove.museum.rows.money import Actual, Fund, Quote
from heritagemove.museum.rows.reference import Caution, Clue, JournalRating, Limit, Readiness
from heritagemove.museum.rows.route import Bridge, Crane, Engine, FlatCar, Segment, Trailer
from heritagemove.museum.rows.together import CallOut
from heritagemove.museum.rows.unit import Axle, Observation, Vehicle
from heritagemove.museum.rows.work import CalendarRule, CostLine, Gate, Path, Quantity, Rate, Risk, Task

#: Every table of a museum's folder: file name -> row model.
MUSEUM_TABLES: dict[str, type[Row]] = {
    "vehicles.csv": Vehicle,
    "axles.csv": Axle,
    "survey.csv": Observation,
    "paths.csv": Path,
    "quantities.csv": Quantity,
    "tasks.csv": Task,
    "cost_lines.csv": CostLine,
    "rates.csv": Rate,
    "risks.csv": Risk,
    "gates.csv": Gate,
    "segments.csv": Segment,
    "bridges.csv": Bridge,
    "cranes.csv": Crane,
    "engines.csv": Engine,
    "flat_cars.csv": FlatCar,
    "trailers.csv": Trailer,
    "calendars.csv": CalendarRule,
    "funds.csv": Fund,
    "quotes.csv": Quote,
    "actuals.csv": Actual,
    "criteria.csv": Criterion,
    "scores.csv": Score,
    "call_outs.csv": CallOut,
    "inquiries.csv": Inquiry,
    "progress.csv": Progress,
    "changes.csv": Change,
}

#: Every table of data/reference: file name -> row model.
REFERENCE_TABLES: dict[str, type[Row]] = {
    "limits.csv": Limit,
    "journal_ratings.csv": JournalRating,
    "cautions.csv": Caution,
    "clues.csv": Clue,
    "readiness.csv": Readiness,
    "estimate_classes.csv": EstimateClass,
}

__all__ = [
    "MUSEUM_TABLES",
    "REFERENCE_TABLES",
    "Actual",
    "Axle",
    "Bridge",
    "CalendarRule",
    "CallOut",
    "Caution",
    "Change",
    "Clue",
    "CostLine",
    "Crane",
    "Criterion",
    "Engine",
    "EstimateClass",
    "FlatCar",
    "Fund",
    "Gate",
    "Inquiry",
    "JournalRating",
    "Limit",
    "Observation",
    "Path",
    "Progress",
    "Quantity",
    "Quote",
    "Rate",
    "Readiness",
    "Risk",
    "Score",
    "Segment",
    "Task",
    "Trailer",
    "Vehicle",
]
