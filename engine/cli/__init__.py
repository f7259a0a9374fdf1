"""The command line: what people type, and what they are told.

    app       the commands                        faults    the one place that words faults
    run       a run over several jobs             output    what is written where
    work      one job, whose faults stop no other exits     exit codes and their meaning
    plugins   what is installed                   program   whatever happens ends in one of them

The libraries load inside the commands that need them.
"""

from trimscribe.cli.app import main

__all__ = ["main"]
