"""The command line: each command is the thin twin of a service."""

from fairtank.cli.main import main

__all__ = ["main"]
