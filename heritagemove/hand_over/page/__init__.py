"""The read-only page: one self-contained HTML file, its machine-readable twin and its print."""

from heritagemove.hand_over.page.content import SCHEMA, content
from heritagemove.hand_over.page.files import refuse_outputs, write_files, write_print, write_report, write_twin
from heritagemove.hand_over.page.html import render
from heritagemove.hand_over.page.site import Site, site_of

__all__ = [
    "SCHEMA",
    "Site",
    "content",
    "refuse_outputs",
    "render",
    "site_of",
    "write_files",
    "write_print",
    "write_report",
    "write_twin",
]
