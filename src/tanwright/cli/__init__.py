"""The ``tanwright`` command. Start-up is light: what computes is imported inside each command."""

from tanwright.cli.run import main

__all__ = ["main"]
