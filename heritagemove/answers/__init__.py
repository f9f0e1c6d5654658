"""One question a file: contingency, joint confidence, value of information, weight flips, cost curves and others.

Imports compare and below.
"""
