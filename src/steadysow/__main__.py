"""Runs ``python -m steadysow``."""

from steadysow.cli import main

# The solver's own process reads this file again and must not begin a second plan.
if __name__ == "__main__":
    main()
