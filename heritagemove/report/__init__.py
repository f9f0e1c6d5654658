"""The read-only page: one self-contained HTML file, its machine-readable twin and its print."""

from heritagemove.report.content import SCHEMA, content
from heritagemove.report.files import write_print, write_report, write_twin
from heritagemove.report.page import render
from heritagemove.report.site import Site, site_of

__all__ = ["SCHEMA", "Site", "content", "render", "site_of", "write_print", "write_report", "write_twin"]
