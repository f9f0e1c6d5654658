"""What a reader of a page sees, and every way in which the page may print a value of its twin."""

import datetime as dt
import re
from html.parser import HTMLParser

from heritagemove.units.words import show_chance, show_date

NUMBER = re.compile(r"\d+(?:,\d{3})*(?:\.\d+)?")


class Text(HTMLParser):
    """What a reader sees: no style, no addresses."""

    def __init__(self, page):
        super().__init__()
        self.quiet, self.parts = False, []
        self.feed(page)

    def handle_starttag(self, tag, attributes):
        self.quiet = tag == "style"

    def handle_endtag(self, tag):
        self.quiet = False

    def handle_data(self, data):
        if not self.quiet:
            self.parts.append(data)


def forms(value):
    """Every way in which the page may print a value of the twin."""
    if isinstance(value, bool) or value is None:
        return
    if isinstance(value, dict):
        for key, part in value.items():
            yield from forms(key)
            yield from forms(part)
    elif isinstance(value, list):
        yield str(len(value))
        for part in value:
            yield from forms(part)
    elif isinstance(value, int | float):
        amount = abs(value)
        yield from (f"{amount:,.0f}", f"{amount:,g}", f"{amount:,.4g}", f"{amount:g}", f"{amount:.0%}"[:-1], str(value))
        yield from (f"{amount:.1f}", f"{amount:.2f}")
        yield from NUMBER.findall(show_chance(value)) if 0 <= value <= 1 else ()
    else:
        yield from NUMBER.findall(value)
        if re.fullmatch(r"\d{4}-\d\d-\d\d", value):
            yield from NUMBER.findall(show_date(dt.date.fromisoformat(value)))
