"""Money: funds, quotes, invoices."""

from __future__ import annotations

from typing import Any

from pydantic import Field, model_validator

from heritagemove.files.tables import (
    Count,
    Date,
    Identifier,
    Identifiers,
    OptionalDate,
    OptionalIdentifier,
    OptionalText,
    Probability,
    Row,
    Text,
    YesNo,
    choice,
    quantity,
)
from heritagemove.museum.rows.common import BASIS, SOURCE, Basis


class Fund(Row):
    """One source of money."""

    fund: Identifier = Field(description="id of the fund")
    title: Text = Field(description="name")
    amount: quantity("money") = Field(description="amount")
    probability: Probability = Field(description="probability that it is granted")
    earliest: Date = Field(description="earliest date it can be spent or drawn")
    latest: OptionalDate = Field(description="latest date")
    restriction: Text = Field(description="what it may be spent on")
    match_required: quantity("percent") = Field(
        description="other money needed beside it, as a share of the grant: at 50 % a grant of 100 needs 50 more"
    )
    repays: choice("no", "after_invoice", "loan", "in_kind") = Field(description="how it comes and whether it goes back")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)
    spend_before_award: YesNo = Field(description="whether money spent before the earliest date, the award, may be claimed")
    reimbursement_lag: Count = Field(description="calendar days from a payment, or from the condition, to the money")
    units: Identifiers = Field(description="units it is for; blank for any")
    phases: Identifiers = Field(description="phases of cost lines it is for; blank for any")
    lines: Identifiers = Field(description="cost lines it is for; blank for any")
    condition: choice("off_site_by_deadline", blank=True) = Field(description="what must have happened before it comes")
    interest: quantity("percent") = Field(description="interest of a loan, a year, compounded monthly")
    term: Count = Field(description="months until a loan is paid back, with its interest; 0 for no loan")

    @model_validator(mode="after")
    def _loan_has_a_term(self) -> Any:
        if (self.repays == "loan") != (self.term > 0):
            raise ValueError("term: months above 0 for a loan, 0 for other money")
        if self.latest is not None and self.latest < self.earliest:
            raise ValueError("latest: a date not before the earliest date, or blank")
        return self


class Quote(Row):
    """One quote received."""

    quote: Identifier = Field(description="id of the quote")
    vehicle: Identifier = Field(description="unit")
    path: Identifier = Field(description="path")
    lines: Identifiers = Field(description="cost lines it covers")
    vendor: Text = Field(description="firm")
    amount: quantity("money") = Field(description="amount")
    quoted: Date = Field(description="date")
    valid_until: Date = Field(description="last day it holds")
    inclusions: OptionalText = Field(description="what is in it")
    exclusions: OptionalText = Field(description="what is not")
    standby: quantity("money", blank=True) = Field(description="standby charge an hour")
    cancellation: OptionalText = Field(description="terms of cancelling")
    firmness: choice("firm", "budgetary") = Field(description="whether it binds")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)
    accepted: OptionalDate = Field(description="day it was accepted: it binds from then on; blank while it is not")


class Actual(Row):
    """One invoice."""

    invoice: Identifier = Field(description="id of the invoice")
    invoiced: Date = Field(description="date")
    vehicle: Identifier = Field(description="unit")
    path: Identifier = Field(description="path")
    line: Identifier = Field(description="cost line")
    vendor: Text = Field(description="firm or role")
    amount: quantity("money") = Field(description="amount")
    paid: YesNo = Field(description="whether it is paid")
    note: OptionalText = Field(description="note")
    basis: Basis = Field(description=BASIS)
    source: Text = Field(description=SOURCE)
    quote: OptionalIdentifier = Field(description="quote it bills: it pays for that quote's lines; blank: for its own line")
    final: YesNo = Field(description="whether nothing more comes for what it pays for")
