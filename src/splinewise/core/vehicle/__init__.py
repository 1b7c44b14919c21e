"""The whole vehicle: a rigid body standing on its corners."""

from splinewise.core.vehicle.attitude import Attitude
from splinewise.core.vehicle.balance import balance
from splinewise.core.vehicle.parts import (
    Body,
    Corner,
    Joined,
    Load,
    MassAt,
    SpringAt,
    Vehicle,
)
from splinewise.core.vehicle.reasons import Reason, Remark, Why, remarks, why
from splinewise.core.vehicle.stand import Stand, stand

__all__ = [
    "Attitude",
    "Body",
    "Corner",
    "Joined",
    "Load",
    "MassAt",
    "Reason",
    "Remark",
    "SpringAt",
    "Stand",
    "Vehicle",
    "Why",
    "balance",
    "remarks",
    "stand",
    "why",
]
