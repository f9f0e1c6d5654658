"""What a spreadsheet does to a table on its way: recognised by its look, and said with the way back."""

from __future__ import annotations

import re

_MONTH = "(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)"
_DATE = re.compile(
    r"\d{4}-\d{1,2}-\d{1,2}.*|\d{1,2}[./-]\d{1,2}[./-](?:\d{2}|\d{4})"
    rf"|\d{{1,2}}[- ]{_MONTH}(?:[- ]\d{{2,4}})?|{_MONTH}[- ]\d{{2,4}}"
)
_SCIENTIFIC = re.compile(r"[-+]?\d(?:[.,]\d+)?[eE][-+]?\d{1,3}(?: .*)?")
_DECIMAL_COMMA = re.compile(r"(?P<number>-?(?![1-9]\d{0,2},\d{3}\b)\d+,\d+)(?P<unit>(?:[ \u00a0\u202f]?[A-Za-z%].*)?)")
_OTHER_THOUSANDS = re.compile(
    r"(?P<number>-?\d{1,3}(?:(?:\.\d{3}){2,}|(?:\.\d{3})+,\d+|(?:[ '\u00a0\u202f]\d{3})+(?:[.,]\d+)?))"
    r"(?P<unit>(?:[ A-Za-z%].*)?)"
)
_ERROR_VALUES = ("#REF!", "#N/A", "#NA", "#VALUE!", "#DIV/0!", "#NAME?", "#NULL!", "#NUM!", "#SPILL!", "#CALC!")
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
#: Without one of these signs an ASCII text is not broken.
_SUSPECT = re.compile(r"[#\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
_AS_TEXT = "format the column as text and type it again"


def hint(text: str, is_id: bool = False) -> str:
    """Return what a spreadsheet has probably done to a cell that cannot be read, or an empty text.

    Examples
    --------
    >>> hint("5-Jan")
    'a spreadsheet has made a date of it: format the column as text and type it again'
    >>> hint("12,5 m")
    'did you mean 12.5 m?'
    """
    if is_id and re.fullmatch(r"\d+", text):
        return f"a spreadsheet drops the zeros in front of a number: {_AS_TEXT}"
    if _DATE.fullmatch(text):
        return f"a spreadsheet has made a date of it: {_AS_TEXT}"
    if _SCIENTIFIC.fullmatch(text):
        return f"a spreadsheet has shortened a long number: {_AS_TEXT}"
    grouped = _OTHER_THOUSANDS.fullmatch(text)
    if grouped:
        return f"did you mean {_plain(grouped['number'])}{grouped['unit']}?"
    comma = _DECIMAL_COMMA.fullmatch(text)
    if comma:
        unit = comma["unit"].replace("\u00a0", " ").replace("\u202f", " ")
        return f"did you mean {comma['number'].replace(',', '.')}{unit}?"
    if text in ("TRUE", "FALSE", "True", "False", "true", "false", "Yes", "No", "YES", "NO"):
        return f"did you mean {'yes' if text.lower() in ('true', 'yes') else 'no'}?"
    return ""


def _plain(number: str) -> str:
    """Write a number with points, blanks or apostrophes between its thousands as it is written here."""
    decimal = re.search(r",(\d+)$|[ '\u00a0\u202f]\d{3}\.(\d+)$", number)
    fraction = (decimal[1] or decimal[2]) if decimal else ""
    whole = re.sub(r"[^\d-]", "", number.removesuffix(fraction))
    return f"{int(whole):,}" + (f".{fraction}" if fraction else "")


def suspect(text: str) -> bool:
    """Return whether a text may be broken: one look at a whole line saves one at each of its cells."""
    return not text.isascii() or _SUSPECT.search(text) is not None


def broken(text: str) -> str:
    """Return what a text should be that no cell may hold, whatever its column, or an empty text.

    Examples
    --------
    >>> broken("#REF!")
    "a spreadsheet's error is no value"
    """
    if text in _ERROR_VALUES or re.fullmatch(r"#{3,}", text):
        return "a spreadsheet's error is no value"
    if "\ufffd" in text:
        return "letters that a change of encoding has not destroyed"
    if _CONTROL.search(text):
        return "a text without control characters"
    if not text.isascii() and (meant := _misread(text)):
        return f"letters read in the right encoding (did you mean {meant}?)"
    return ""


def _misread(text: str) -> str:
    """Return what UTF-8 text was before somebody read it as Windows-1252, if that is what happened."""
    try:
        meant = text.encode("cp1252").decode("utf-8")
    except UnicodeError:
        return ""
    return meant if meant != text else ""


def encoding(data: bytes) -> str:
    """Return in a planner's words what bytes are that are not UTF-8 text, or an empty text if they are.

    Examples
    --------
    >>> encoding("caf\u00e9".encode("utf-16"))
    'UTF-16 ("Unicode text")'
    """
    if data[:4] == b"PK\x03\x04":
        return "a workbook with another ending"
    if data[:2] in (b"\xff\xfe", b"\xfe\xff") or data[:200].count(0) * 3 > len(data[:200]):
        return 'UTF-16 ("Unicode text")'
    try:
        data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        return f"letters of Windows-1252 or Latin-1, first in line {1 + data.count(10, 0, error.start)}"
    return ""
