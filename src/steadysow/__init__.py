"""A plan for a household's greens: what to sow, in which tote, on which day, and how good that is."""

__version__ = "0.1.0"
