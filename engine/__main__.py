"""`python -m trimscribe`, for where the command itself is not on the path."""

from trimscribe.cli import main

if __name__ == "__main__":  # worker processes import it again
    main(prog_name="trimscribe")
