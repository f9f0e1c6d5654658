"""Engineering checks: one subject a file; see :mod:`heritagemove.checks.check`."""
