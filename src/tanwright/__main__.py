"""``python -m tanwright``."""

from tanwright.cli import main

main()
