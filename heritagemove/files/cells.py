"""Cell types: how the text of a cell is read, and what it may hold in a planner's words."""

from __future__ import annotations

import calendar
import datetime as dt
import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator

from heritagemove.files import damage
from heritagemove.units import units
from heritagemove.units.words import near_miss


@dataclass(frozen=True)
class Allowed:
    """What a cell of this kind may hold, in a planner's words; shown in errors and in data/COLUMNS.md."""

    text: str
    may_be_blank: bool = False
    unit: str = ""  # the unit it is read into; money: the museum's currency


def cell(kind: Any, allowed: str, read: Callable[[str], Any], blank: bool = False, unit: str = "") -> Any:
    """Return the annotated type of a column: how its text is read and what it may hold."""

    def reader(text: Any) -> Any:
        if not isinstance(text, str):
            return text
        if text in ("", "unknown") and blank:
            return None
        try:
            return read(text)
        except ValueError as error:
            reason = str(error)
            if "means" in reason or "did you mean" in reason or reason == _OUT_OF_TIME:
                raise
            hint = "" if kind is dt.date else damage.hint(text, is_id=allowed == SPELLING)
            raise ValueError(f"{allowed} ({hint})" if hint else allowed) from error
        except Exception as error:  # whatever a text brings about, it is its own cell's problem
            raise ValueError(allowed) from error

    return Annotated[kind | None if blank else kind, BeforeValidator(reader), Allowed(allowed, blank, unit)]


def is_identifier(text: str) -> bool:
    """Return whether a text may name something: lower-case letters, digits and underscores, a letter first."""
    return re.fullmatch(r"[a-z][a-z0-9_]{0,59}", text) is not None


def _identifier(text: str) -> str:
    return text if is_identifier(text) else _raise()


def _name(text: str) -> str:
    """Read an id as it stands."""
    return text if 0 < len(text) <= 60 and not text[0].isdigit() else _raise()


def _text(text: str) -> str:
    if not text:
        raise ValueError
    return text


def _file_name(text: str) -> str:
    """Read the name of a file in the museum's folder: no way up, no other disk, no address."""
    inside = re.fullmatch(r"[^\\/:*?\"<>|~][^\\:*?\"<>|]{0,199}", text) and ".." not in text.split("/")
    return text if inside else _raise()


_OUT_OF_TIME = "a date between 1825 and 2100, as 2027-10-15"


def _date(text: str) -> dt.date:
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text, re.ASCII):
        raise ValueError
    date = dt.date.fromisoformat(text)
    if not 1825 <= date.year <= 2100:
        raise ValueError(_OUT_OF_TIME)
    return date


@dataclass(frozen=True, order=True)
class MonthDay:
    """A day of every year, such as 10-15.

    Examples
    --------
    >>> leap_day = MonthDay(2, 29)
    >>> leap_day.begins(2027).isoformat(), leap_day.ends(2027).isoformat()
    ('2027-03-01', '2027-02-28')
    """

    month: int
    day: int

    def begins(self, year: int) -> dt.date:
        """Return the day of a year on which something begins: what begins on a leap day, else on 1 March."""
        lacking = (self.month, self.day) == (2, 29) and not calendar.isleap(year)
        return dt.date(year, 3, 1) if lacking else dt.date(year, self.month, self.day)

    def ends(self, year: int) -> dt.date:
        """Return the day of a year on which something ends: what ends on a leap day, else on 28 February."""
        lacking = (self.month, self.day) == (2, 29) and not calendar.isleap(year)
        return dt.date(year, 2, 28) if lacking else dt.date(year, self.month, self.day)

    def __str__(self) -> str:
        return f"{self.month:02}-{self.day:02}"


_LEAP_YEAR = 2000


def _date_or_month_day(text: str) -> dt.date | MonthDay:
    if not re.fullmatch(r"\d{2}-\d{2}", text, re.ASCII):
        return _date(text)
    date = dt.date.fromisoformat(f"{_LEAP_YEAR}-{text}")
    return MonthDay(date.month, date.day)


def _days(text: str) -> int:
    return int(text) if re.fullmatch(r"-?\d{1,3}", text, re.ASCII) else _raise()


def _whole(text: str) -> int:
    if not re.fullmatch(r"\d{1,6}", text, re.ASCII):
        raise ValueError
    return int(text)


def _yes_no(text: str) -> bool:
    return {"yes": True, "no": False}[text] if text in ("yes", "no") else _raise()


def _raise() -> Any:
    raise ValueError


def _ids(text: str) -> tuple[str, ...]:
    return tuple(_identifier(part.strip()) for part in text.split(";")) if text else ()


def _numbers(text: str) -> tuple[float, ...]:
    read = _number_between(0, 1e12)
    return tuple(read(part.strip()) for part in text.split(";")) if text else ()


def _number_between(low: float, high: float) -> Callable[[str], float]:
    def read(text: str) -> float:
        number = units.parse_number(text)
        return number if low <= number <= high else _raise()

    return read


def _one_of(choices: tuple[str, ...]) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text in choices:
            return text
        raise ValueError(", ".join(choices) + near_miss(text, choices))

    return read


def choice(*choices: str, blank: bool = False) -> Any:
    """Return the type of a column that holds one of a few words."""
    return cell(str, ", ".join(choices), _one_of(choices), blank)


def choices(*words: str) -> Any:
    """Return the type of a column that holds any of a few words."""
    one = _one_of(words)
    allowed = f"any of {', '.join(words)} with ; between them, or blank"
    return cell(tuple[str, ...], allowed, lambda text: tuple(one(part.strip()) for part in text.split(";")) if text else ())


def whole(least: int, most: int) -> Any:
    """Return the type of a column that holds a whole number within a range."""
    allowed = f"a whole number from {least} to {most}"
    return cell(int, allowed, lambda text: _whole(text) if least <= _whole(text) <= most else _raise())


def quantity(unit: str, blank: bool = False, least: float = 0.0, above: float = -math.inf) -> Any:
    """Return the type of a column that holds a quantity with its unit, read into `unit`, from `least` on, or `above`."""
    try:
        example = units.parse("x", unit)
    except ValueError as error:
        example = str(error)

    def read(text: str) -> Any:
        found = units.parse(text, unit)
        return found if found.magnitude >= least and found.magnitude > above else _raise()

    lowest = f", more than {above:g}" if above > -math.inf else "" if least < 0 else f", at least {least:g}"
    allowed = f"{example}{lowest}{', or blank for unknown' if blank else ''}"
    return cell(units.Quantity, allowed, read, blank, unit)


#: What an id may look like, in a planner's words.
SPELLING = "lower-case letters, digits and underscores, beginning with a letter"
Identifier = cell(str, SPELLING, _identifier)
OptionalIdentifier = cell(str, "an id, or blank", _name, blank=True)
#: An id that another row defines: the rules between tables know which there are and say which is meant.
Reference = cell(str, SPELLING, _name)
OptionalReference = cell(str, "an id, or blank", _name, blank=True)
Identifiers = cell(tuple[str, ...], "ids with ; between them, or blank", _ids)
Text = cell(str, "a text", _text)
OptionalText = cell(str, "a text, or blank", _text, blank=True)
OptionalFileName = cell(str, "a file in the museum's folder, as photos/box_1L.jpg, or blank", _file_name, blank=True)
Date = cell(dt.date, "a date as 2027-10-15", _date)
OptionalDate = cell(dt.date, "a date as 2027-10-15, or blank", _date, blank=True)
OptionalDateOrMonthDay = cell(
    dt.date | MonthDay, "a date as 2027-10-15, a day of every year as 10-15, or blank", _date_or_month_day, blank=True
)
OptionalDays = cell(int, "a whole number of days, minus for days before, or blank", _days, blank=True)
OptionalMonth = cell(
    int, "a month from 1 to 12, or blank", lambda text: _whole(text) if 1 <= _whole(text) <= 12 else _raise(), blank=True
)
YesNo = cell(bool, "yes or no", _yes_no)
Count = cell(int, "a whole number of at least 0", _whole)
OptionalCount = cell(int, "a whole number of at least 0, or blank for unknown", _whole, blank=True)
Year = cell(int, "a year between 1825 and 2100", lambda text: _whole(text) if 1825 <= _whole(text) <= 2100 else _raise())
Number = cell(float, "a number", units.parse_number)
NonNegative = cell(float, "a number of at least 0", _number_between(0, 1e12))
OptionalNonNegative = cell(float, "a number of at least 0, or blank", _number_between(0, 1e12), blank=True)
NonNegatives = cell(tuple[float, ...], "numbers of at least 0 with ; between them, or blank", _numbers)
PartOfWhole = cell(float, "a share from 0 to 1", _number_between(0, 1))
Probability = cell(float, "a probability from 0 to 1", _number_between(0, 1))
OptionalProbability = cell(float, "a probability from 0 to 1, or blank", _number_between(0, 1), blank=True)
