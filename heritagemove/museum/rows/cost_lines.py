from heritagemove.files.cells import (
    Identifier,
    Number,
    OptionalNonNegative,
    OptionalReference,
    OptionalText,
    Reference,
    Text,
    choice,
)
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STAGE, STARTER, Basis, YesOrBlank
from heritagemove.museum.drivers import OWN_TASK

#: The phases of a move, by which costs are shown and grants are bound.
PHASES = ("front", "prepare", "shop", "lift", "move", "destination", "after")


class CostLine(Row, read_by="costs and dates"):
    """One cost of a path: a rate times one or two drivers times a factor."""

    path: Reference = column("id of the path", key=True, refers_to="paths.path")
    line: Identifier = column("id of the line within the path", key=True)
    title: Text = column("what is paid for")
    task: Reference = column("task that triggers it", refers_to="tasks.task", same="path")
    rate: Reference = column("id of the rate", refers_to="rates.rate")
    driver: Reference = column("driver that says how much", refers_to="drivers", also=OWN_TASK)
    times: OptionalReference = column("second driver it is multiplied by", refers_to="drivers")
    factor: Number = column("constant factor; negative for a credit")
    factor_unit: OptionalText = column("unit of the factor, such as labor_hour/axle; blank for a plain number")
    above: OptionalNonNegative = column("units of the driver that are not charged (a minimum pays for them)")
    at_least: OptionalNonNegative = column("least units of the driver that are charged")
    load_weight: OptionalReference = column(
        "driver that tells the weight of one load, where the rate hangs on it; blank: body_weight",
        refers_to="drivers",
        default=None,
    )
    phase: choice(*PHASES) = column("phase")
    payment: choice("on_start", "on_finish", "half_deposit", "after_30_days", "over_task", "later") = column(
        "when it is paid, from the dates of its task"
    )
    stage: OptionalReference = STAGE
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
