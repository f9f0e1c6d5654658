"""The read-only page: one self-contained HTML file a unit and one for the site, its machine-readable twin and its print."""

from heritagemove.hand_over.page.content import SCHEMA, content
from heritagemove.hand_over.page.files import names_of, refuse_outputs, write_files, write_print, write_report, write_twin
from heritagemove.hand_over.page.html import render, site_page
from heritagemove.hand_over.page.site import Site, site_of

__all__ = [
    "SCHEMA",
    "Site",
    "content",
    "names_of",
    "refuse_outputs",
    "render",
    "site_of",
    "site_page",
    "write_files",
    "write_print",
    "write_report",
    "write_twin",
]
