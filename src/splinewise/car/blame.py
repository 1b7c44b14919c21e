"""What is wrong with a file, gathered: every fault with its path, none raised."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from splinewise.car.lines import Path
from splinewise.car.model import System
from splinewise.errors import SplinewiseError

__all__ = ["Blame"]


@dataclass(frozen=True, slots=True)
class Blame:
    """Gathers faults below one place of the file.

    Attributes
    ----------
    at : tuple of str and int
        The place. [1]
    system : str
        "inch" or "metric": what lengths are told in. [1]
    found : list of (path, str)
        What was found wrong so far, shared with every place below. [1]
    """

    at: Path = ()
    system: System = "metric"
    found: list[tuple[Path, str]] = field(default_factory=list)

    def below(self, *keys: str | int) -> Blame:
        """Return the same for a place below this one."""
        return Blame((*self.at, *keys), self.system, self.found)

    def say(self, key: str | int | None, why: str) -> None:
        """Add a fault of a key here, or of this place itself."""
        self.found.append(((*self.at, *([] if key is None else [key])), why))

    def mark(self) -> Callable[[], bool]:
        """Return what tells whether anything was found since."""
        before = len(self.found)
        return lambda: len(self.found) > before

    def take(self, key: str | int | None, error: SplinewiseError) -> None:
        """Add what the core refused as a fault of a key here.

        The builders check first, in the file's own words; this is the net below.
        """
        self.say(key, f"{error}.".replace("..", "."))
