"""The command line: what people type, and what they are told.

    app       the commands                     work     one job, whose faults stop no other
    program   exit codes, the last resort      faults   the one place that words faults
    output    what is written where

The heavy libraries load inside the commands that need them.
"""

from trimscribe.cli.app import main

__all__ = ["main"]
