"""The read-only page: one self-contained HTML file, its machine-readable twin and its print."""

from heritagemove.report.content import SCHEMA, content
from heritagemove.report.files import write_print, write_report, write_twin
from heritagemove.report.page import render

__all__ = ["SCHEMA", "content", "render", "write_print", "write_report", "write_twin"]
