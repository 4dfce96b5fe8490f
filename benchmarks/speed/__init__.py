"""Speed of the solver, as ratios measured in one run: ``python -m benchmarks.speed``."""
