from typing import Any

from pydantic import model_validator

from heritagemove.files.cells import (
    Count,
    Date,
    Identifier,
    Identifiers,
    OptionalDate,
    Probability,
    Text,
    YesNo,
    choice,
    choices,
    quantity,
)
from heritagemove.files.tables import Row, column
from heritagemove.museum.columns import BASIS, SOURCE, STARTER, Basis, YesOrBlank
from heritagemove.museum.rows.cost_lines import PHASES


class Fund(Row, read_by="costs and dates"):
    """One source of money."""

    fund: Identifier = column("id of the fund", key=True)
    title: Text = column("name", read_by="screens")
    amount: quantity("money") = column("amount")
    probability: Probability = column("probability that it is granted")
    earliest: Date = column("earliest date it can be spent or drawn")
    latest: OptionalDate = column("latest date")
    restriction: Text = column("what it may be spent on", read_by="screens")
    match_required: quantity("percent") = column(
        "other money needed beside it, as a share of the grant: at 50 % a grant of 100 needs 50 more"
    )
    repays: choice("no", "after_invoice", "loan", "in_kind") = column("how it comes and whether it goes back")
    basis: Basis = BASIS
    source: Text = SOURCE
    starter: YesOrBlank = STARTER
    spend_before_award: YesNo = column("whether money spent before the earliest date, the award, may be claimed")
    reimbursement_lag: Count = column("calendar days from a payment, or from the condition, to the money")
    units: Identifiers = column("units it is for; blank for any", refers_to="vehicles.vehicle")
    phases: choices(*PHASES) = column("phases of cost lines it is for; blank for any")
    lines: Identifiers = column("cost lines it is for; blank for any", refers_to="cost_lines.line")
    condition: choice("off_site_by_deadline", blank=True) = column("what must have happened before it comes")
    interest: quantity("percent") = column("interest of a loan, a year, compounded monthly")
    term: Count = column("months until a loan is paid back, with its interest; 0 for no loan")

    @model_validator(mode="after")
    def _loan_has_a_term(self) -> Any:
        if (self.repays == "loan") != (self.term > 0):
            raise ValueError("term: months above 0 for a loan, 0 for other money")
        if self.latest is not None and self.latest < self.earliest:
            raise ValueError("latest: a date not before the earliest date, or blank")
        return self
