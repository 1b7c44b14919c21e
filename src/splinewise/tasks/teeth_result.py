"""What the choice of teeth holds: the moves, best first, and how to make them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from splinewise.core.direction import Place, Vector
from splinewise.tasks.values import COVERAGE, Value

__all__ = ["NO_TURN", "RankedMove", "SeenFrom", "Teeth"]

NO_TURN = math.radians(0.005)
"""A turn that no face would show: it rounds to 0.00°. [rad]"""


@dataclass(frozen=True, slots=True)
class SeenFrom:
    """Where one stands when a turn is called clockwise.

    Attributes
    ----------
    axis : tuple of float
        The bar's axis; a right-handed turn about it is bump. [1]
    place : str
        "front", "rear", "left" or "right". [1]
    """

    axis: Vector
    place: Place


@dataclass(frozen=True, slots=True)
class RankedMove:
    """One move, what it leaves over, and how to make it.

    Attributes
    ----------
    arm, anchor : int
        Teeth at each end, positive to bump. [1]
    teeth, ends : int
        Teeth moved in all; ends that have to be worked. [1]
    turn : Value
        What the slack angle gains. [rad]
    left_over : Value
        What is still wanting, before any adjuster. [rad]
    height_left_over : Value
        The same as ride height, positive if the car stands too high; NaN if the car
        is not known. [m]
    adjuster : Value
        The part that the adjuster takes up. [rad]
    remains : Value
        What is wanting after that. [rad]
    steps : tuple of str
        What to do, bar in hand. [1]
    """

    arm: int
    anchor: int
    teeth: int
    ends: int
    turn: Value
    left_over: Value
    height_left_over: Value
    adjuster: Value
    remains: Value
    steps: tuple[str, ...]

    @property
    def within_doubt(self) -> bool:
        """Whether what is left over is no more than the ± that is shown with it."""
        doubt = self.left_over.doubt or 0.0
        return abs(self.left_over.value) <= max(COVERAGE * doubt, NO_TURN)


@dataclass(frozen=True, slots=True)
class Teeth:
    """The moves that bring a bar to a wanted turn.

    Attributes
    ----------
    car, corner, side : str
        Which corner; empty where only counts were given. [1]
    arm_teeth, anchor_teeth : int
        Teeth at the two ends. [1]
    present, wanted : Value
        Slack angle now and slack angle wanted; NaN where only a turn was
        given. [rad]
    turn : Value
        Turn wanted, positive to bump. [rad]
    because : str
        How the turn was found, in one clause. [1]
    index_step, arm_step, anchor_step : Value
        Smallest turn of both ends together, and of a tooth at each alone. [rad]
    moves : tuple of RankedMove
        Best first. [1]
    arm_alone, anchor_alone : RankedMove
        The best that each end can do by itself. [1]
    seen_from : str
        Where one stands when a turn is called clockwise; empty where the side is
        not known, and turns are then told as toward bump or toward droop. [1]
    bump_way : str
        "clockwise" or "anticlockwise": the way that bump turns as seen from there;
        empty where the side is not known. [1]
    adjuster : str
        What the adjuster can do, in words; empty if there is none. [1]
    adjuster_change : str
        What to do at the adjuster with the best move; empty if nothing. [1]
    warnings : tuple of str
        What wants attention. [1]
    reachable : bool
        False if even the best move with the adjuster leaves more over than half an
        index step and than its own doubt. [1]
    cautions : tuple of str
        Safety sentences. [1]
    """

    car: str
    corner: str
    side: str
    arm_teeth: int
    anchor_teeth: int
    present: Value
    wanted: Value
    turn: Value
    because: str
    index_step: Value
    arm_step: Value
    anchor_step: Value
    moves: tuple[RankedMove, ...]
    arm_alone: RankedMove
    anchor_alone: RankedMove
    seen_from: str
    bump_way: str
    adjuster: str
    adjuster_change: str
    warnings: tuple[str, ...]
    reachable: bool
    cautions: tuple[str, ...]
