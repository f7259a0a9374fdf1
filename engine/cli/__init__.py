"""The command line: what people type, and what they are told.

    app      the commands                      output   what is written where, and the exit code
    run      a run over several jobs           program  whatever happens ends in an exit code

The libraries load inside the commands that need them.
"""

from trimscribe.cli.app import main

__all__ = ["main"]
