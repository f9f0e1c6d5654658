"""heritagemove: cost, schedule and risk of moving a stranded historic locomotive or car."""
