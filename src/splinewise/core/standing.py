"""How far a figure taken from outside can be trusted.

A number without one of these words beside it is not offered as a default.
"""

from __future__ import annotations

from enum import StrEnum

__all__ = ["Standing"]


class Standing(StrEnum):
    """What stands behind a figure; the value is the words to show beside it."""

    READ = "read in the source named"
    NOTEBOOK = "read in a worked-solution notebook of the book; the page was not seen"
    MEMORY = "from memory, not verified"
    PRACTICE = "common practice, no source"
    OWN = "own derivation"
