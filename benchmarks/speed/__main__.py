"""Prints the table of ratios: ``python -m benchmarks.speed``."""

from __future__ import annotations

from benchmarks.speed.ensemble import ensemble_rows

SECTIONS = (ensemble_rows,)
"""Each gives rows (what, figure, remark); a new benchmark is one more function here."""


def main() -> None:
    rows = [row for section in SECTIONS for row in section()]
    wide = max(len(what) for what, _, _ in rows)
    for what, figure, remark in rows:
        print(f"{what:<{wide}}  {figure:>14}  {remark}")


if __name__ == "__main__":
    main()
