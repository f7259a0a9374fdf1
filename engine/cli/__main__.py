"""`python -m trimscribe.cli`, for where the command itself is not on the path."""

from trimscribe.cli.app import main

main(prog_name="trimscribe")
