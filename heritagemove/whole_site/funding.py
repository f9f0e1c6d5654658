"""Money on its dates: payments and receipts by month and trial, the bank balance, the bridge loan, and lost funds.

A trial grants each fund or not, by a draw of its own name. What is spent is claimed from one fund only.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from heritagemove.museum.museum import Museum
from heritagemove.museum.rows.funds import Fund
from heritagemove.museum.waits import fund_draw
from heritagemove.trials import simulation
from heritagemove.trials.simulation import NEVER, Samples
from heritagemove.units.words import show_date
from heritagemove.whole_site.fleet import Fleet, Option
from heritagemove.whole_site.payments import Months, Payment, payments

#: A balance this little below zero is a rounding [USD].
_ROUNDING = 0.5


@dataclass(frozen=True)
class Month:
    """One month of an account."""

    name: str
    # mean payments, mean receipts, balance before loans at P50 and kept with the confidence, balance with loans kept
    # with the confidence [USD]
    amounts_usd: tuple[float, ...]
    runs_out: float  # chance that the money first runs out in it


@dataclass(frozen=True)
class BankForecast:
    """The bank account of a set of units, month by month in every trial, shapes (trials, months) [USD]."""

    museum: Museum
    options: tuple[Option, ...]
    months: tuple[dt.date, ...]  # first day of each month; the last holds all that comes after
    paid: np.ndarray
    received: Mapping[str, np.ndarray]  # by fund; loans not among them
    # of loans; repaid with interest
    drawn: np.ndarray
    repaid: np.ndarray
    granted: Mapping[str, np.ndarray]  # of bool, shape (trials,); whether each fund is granted

    @property
    def receipts(self) -> np.ndarray:
        """All receipts but loans."""
        return np.sum([np.zeros_like(self.paid), *self.received.values()], axis=0)

    @property
    def without_loan(self) -> np.ndarray:
        """Balance at each month's end without any loan."""
        return np.cumsum(self.receipts - self.paid, axis=1)

    @property
    def balance(self) -> np.ndarray:
        """Balance at each month's end, loans drawn and repaid."""
        return np.cumsum(self.receipts + self.drawn - self.paid - self.repaid, axis=1)

    @property
    def bridge(self) -> np.ndarray:
        """Loan that would keep the balance from falling below zero, shape (trials,)."""
        return np.maximum(-self.without_loan.min(axis=1), 0.0)

    @property
    def lasts(self) -> np.ndarray:
        """Whether the money lasts to the end, loans included, shape (trials,)."""
        return self.balance.min(axis=1) >= -_ROUNDING

    @property
    def covered(self) -> np.ndarray:
        """Whether all receipts together cover all payments, whatever their dates, shape (trials,)."""
        return self.without_loan[:, -1] >= -_ROUNDING

    @property
    def runs_out(self) -> np.ndarray:
        """Chance that the money runs out, by the month in which it first does, shape (months,)."""
        short = self.balance < -_ROUNDING
        first = short & (np.cumsum(short, axis=1) == 1)
        return first.mean(axis=0)

    @property
    def chance_it_lasts(self) -> float:
        """Chance that the money lasts in every month, loans included."""
        return float(self.lasts.mean())

    def table(self, confidence: float) -> tuple[Month, ...]:
        """Return the account month by month.

        Parameters
        ----------
        confidence : float
            Chance with which the careful balances are kept, 0 to 1.
        """
        columns = (
            self.paid.mean(axis=0),
            self.receipts.mean(axis=0),
            self.at(self.without_loan, 0.5),
            self.at(self.without_loan, confidence),
            self.at(self.balance, confidence),
        )
        return tuple(
            Month(show_date(first)[2:].strip(), tuple(float(column[n]) for column in columns), float(self.runs_out[n]))
            for n, first in enumerate(self.months)
        )

    def at(self, values: np.ndarray, chance: float) -> np.ndarray:
        """Return the balance of each month that is kept or exceeded with a chance, shape (months,)."""
        return np.quantile(values, 1 - chance, axis=0)

    def trough(self, chance: float) -> float:
        """Return the lowest balance, before loans, that is kept or exceeded with a chance [USD]."""
        return float(np.quantile(self.without_loan.min(axis=1), 1 - chance))


def grants(museum: Museum, samples: Samples, lost: Iterable[str] = (), sure: Iterable[str] = ()) -> dict[str, np.ndarray]:
    """Return whether each fund is granted in each trial.

    Parameters
    ----------
    lost, sure : iterable of str
        Funds that are certainly not granted, and funds that certainly are.

    Returns
    -------
    dict of str to ndarray of bool, shape (trials,)
    """
    lost, sure = set(lost), set(sure)
    return {
        row.fund: np.full(samples.trials, row.fund in sure)
        if row.fund in lost | sure
        else ~(samples.gates[fund_draw(row.fund)] < 1 - row.probability)
        for row in museum.funds
    }


def money_granted(museum: Museum, samples: Samples, lost: Iterable[str] = (), sure: Iterable[str] = ()) -> np.ndarray:
    """Return all money that is granted in each trial, whatever its rules: no loans, nothing in kind.

    Parameters
    ----------
    lost, sure : iterable of str
        Funds that are certainly not granted, and funds that certainly are.

    Returns
    -------
    ndarray, shape (trials,)
        [USD]
    """
    granted = grants(museum, samples, lost, sure)
    ours = [row for row in museum.funds if row.repays in ("no", "after_invoice")]
    return np.sum([np.zeros(samples.trials), *(granted[r.fund] * r.amount.m_as("USD") for r in ours)], axis=0)


def bank_forecast(
    fleet: Fleet, options: Sequence[Option], lost: Iterable[str] = (), sure: Iterable[str] = ()
) -> BankForecast:
    """Forecast the bank account of a set of units.

    Parameters
    ----------
    lost, sure : iterable of str
        Funds that are certainly not granted, and funds that certainly are.
    """
    return account(fleet, options, payments(fleet.museum, options, fleet.samples), lost, sure)


def account(
    fleet: Fleet, options: Sequence[Option], made: Sequence[Payment], lost: Iterable[str] = (), sure: Iterable[str] = ()
) -> BankForecast:
    """Forecast the bank account that makes these payments; parameters as for :func:`bank_forecast`."""
    museum, samples = fleet.museum, fleet.samples
    months, granted = Months.of(museum), grants(museum, samples, lost, sure)
    paid = np.zeros((samples.trials, len(months.first_days)))
    for payment in made:
        months.add(payment, [(paid, 1.0)])
    received = _Claims(museum, months, made, _all_off(options, samples)).receipts(granted)
    net = np.sum([-paid, *received.values()], axis=0)
    drawn, repaid = np.zeros_like(paid), np.zeros_like(paid)
    for row in museum.funds:
        if row.repays == "loan":
            taken, back = _loan(museum, row, granted[row.fund], months, net + drawn - repaid)
            drawn, repaid = drawn + taken, repaid + back
    return BankForecast(museum, tuple(options), months.first_days, paid, received, drawn, repaid, granted)


def _all_off(options: Sequence[Option], samples: Samples) -> np.ndarray:
    """Return the day on which the last unit has left the site, NEVER where one is not saved, shape (trials,)."""
    days = [option.result.branch.off_site for option in options]
    return np.maximum.reduce(days) if days else np.full(samples.trials, NEVER)


class _Claims:
    """What of each payment is still to be claimed: a dollar spent is claimed from one fund only.

    Gifts for some units or costs come first, and what no grant pays for is charged to them first. Then come work
    in kind and the grants, in the order of the table.
    """

    def __init__(self, museum: Museum, months: Months, made: Sequence[Payment], all_off: np.ndarray) -> None:
        self.museum, self.months, self.made, self.all_off = museum, months, made, all_off
        self.left = [np.ones(len(all_off)) for _ in made]
        self.grants = [row for row in museum.funds if row.repays == "after_invoice"]

    def receipts(self, granted: Mapping[str, np.ndarray]) -> dict[str, np.ndarray]:
        """Return what each fund that is no loan gives by month, in the order of the table."""
        steps = {"no": self._gift, "in_kind": self._reimbursed, "after_invoice": self._reimbursed}
        given: dict[str, np.ndarray] = {}
        for kind, step in steps.items():
            given |= {row.fund: step(row, granted[row.fund]) for row in self.museum.funds if row.repays == kind}
        return {row.fund: given[row.fund] for row in self.museum.funds if row.fund in given}

    def _award(self, fund: Fund) -> int:
        return simulation.day_number(self.museum, fund.earliest)

    def _gift(self, fund: Fund, granted: np.ndarray) -> np.ndarray:
        day, comes = _arrives(self.museum, fund, self.all_off)
        amount = fund.amount.m_as("USD") * (granted & comes)
        if fund.units or fund.phases or fund.lines:
            mine = [n for n, payment in enumerate(self.made) if _is_for(fund, payment)]
            given = np.zeros(len(amount))
            for among in (False, True):
                open_usd = [self.made[n].usd * self.left[n] * (self._a_grant_pays(n) == among) for n in mine]
                total = np.sum([given * 0, *open_usd], axis=0)
                taken = np.minimum(amount - given, np.maximum(total, 0.0))
                share = taken / np.where(total > 0, total, np.inf)
                for n in mine:
                    self.left[n] = self.left[n] * (1 - share * (self._a_grant_pays(n) == among))
                given = given + taken
            amount = given
        out = np.zeros((len(amount), len(self.months.first_days)))
        out[np.arange(len(amount)), self.months.number_of(day)] = amount
        return out

    def _a_grant_pays(self, n: int) -> np.ndarray:
        """Tell in which trials some grant would pay for a payment, were it given."""
        payment = self.made[n]
        mine = [row for row in self.grants if _is_for(row, payment)]
        return np.any([payment.day >= (0 if r.spend_before_award else self._award(r)) for r in mine], axis=0) & bool(mine)

    def _reimbursed(self, fund: Fund, granted: np.ndarray) -> np.ndarray:
        """Return what is paid back for what was spent: up to the amount, with its match, and nothing claimed twice."""
        mine = [n for n, payment in enumerate(self.made) if _is_for(fund, payment)]
        since = None if fund.spend_before_award else self._award(fund)
        latest = None if fund.latest is None else simulation.day_number(self.museum, fund.latest)
        spent, free = (np.zeros((len(granted), len(self.months.first_days))) for _ in range(2))
        counted: dict[int, np.ndarray] = {}
        for n in mine:
            payment, tables = self.made[n], [(spent, 1.0), (free, self.left[n])]
            within = self.months.add(payment, tables, fund.reimbursement_lag, since, latest)
            counted[n] = within / np.where(payment.usd, payment.usd, np.inf)
        # Money spent before the award, where it may be claimed, is paid back when the award comes.
        month = int(self.months.number_of(self._award(fund) + fund.reimbursement_lag))
        owed = np.minimum(np.cumsum(spent, axis=1) / (1 + fund.match_required.m_as("")), np.cumsum(free, axis=1))
        owed[:, :month] = 0.0
        owed = np.maximum.accumulate(np.clip(owed, 0.0, (fund.amount.m_as("USD") * granted)[:, None]), axis=1)
        total = free.sum(axis=1)
        share = np.clip(owed[:, -1] / np.where(total > 0, total, np.inf), 0.0, 1.0)
        for n in mine:
            self.left[n] = self.left[n] * (1 - share * counted[n])
        return np.diff(owed, axis=1, prepend=0.0)


def _arrives(museum: Museum, fund: Fund, all_off: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the day on which money that is simply given arrives, and whether it does, each of shape (trials,)."""
    award, latest = (None if day is None else simulation.day_number(museum, day) for day in (fund.earliest, fund.latest))
    if not fund.condition:
        return np.full(len(all_off), award), np.ones(len(all_off), bool)
    deadline = simulation.day_number(museum, museum.scenario.deadline)
    met = all_off <= (deadline if latest is None else min(deadline, latest))
    return np.maximum(np.where(met, all_off, 0) + fund.reimbursement_lag, award), met


def _is_for(fund: Fund, payment: Payment) -> bool:
    return all(
        not allowed or of in allowed
        for allowed, of in ((fund.units, payment.vehicle), (fund.phases, payment.phase), (fund.lines, payment.line))
    )


def loan_due(drawn_usd: float, interest: float, months: int) -> float:
    """Return what is due when a loan is paid back at the end of its term with its interest.

    The future value of a present sum at compound interest, (1 + i/12)^n, as any textbook of financial
    mathematics has it; common practice, no source.

    Parameters
    ----------
    interest : float
        A year, 0.06 for 6 per cent; compounded monthly.
    months : int
        Term [month].

    Examples
    --------
    >>> round(loan_due(75_000, 0.06, 12), 2)
    79625.84
    """
    return drawn_usd * (1 + interest / 12) ** months


def _loan(museum: Museum, fund: Fund, granted: np.ndarray, months: Months, net: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return what is drawn and paid back by month: what is short, when it is short, up to the amount.

    Nothing is drawn to pay the same loan back. What falls due beyond the months shown is counted in the last one.
    """
    first = int(months.number_of(simulation.day_number(museum, fund.earliest)))
    last = net.shape[1] - 1 if fund.latest is None else int(months.number_of(simulation.day_number(museum, fund.latest)))
    month = np.arange(net.shape[1])
    short = np.where((month >= first) & (month <= last), -np.cumsum(net, axis=1), 0.0)
    owed = np.minimum(np.maximum.accumulate(np.maximum(short, 0.0), axis=1), fund.amount.m_as("USD") * granted[:, None])
    drawn, repaid = np.diff(owed, axis=1, prepend=0.0), np.zeros_like(net)
    for n in month:
        due = min(n + fund.term, len(month) - 1)
        repaid[:, due] += loan_due(drawn[:, n], fund.interest.m_as(""), fund.term)
    return drawn, repaid
