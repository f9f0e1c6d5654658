"""Engineering checks: one subject a file, quantities in, a Check out; :mod:`screening` runs what a path's gates name."""
