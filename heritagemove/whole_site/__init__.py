"""The units of one site together: call-outs, the best set under a budget, payments by month, funding.

Imports answers and below.
"""
