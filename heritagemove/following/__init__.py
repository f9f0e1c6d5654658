"""The move as it happens: tasks done, quotes and invoices, papers by date, the forecast again, the closed books.

Imports whole_site and below.
"""
