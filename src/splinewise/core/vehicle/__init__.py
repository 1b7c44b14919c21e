"""The whole vehicle: a rigid body standing on its corners."""

from splinewise.core.vehicle.attitude import Attitude
from splinewise.core.vehicle.balance import balance
from splinewise.core.vehicle.parts import Body, Corner, Joined, Load, SpringAt, Vehicle
from splinewise.core.vehicle.stand import Stand, stand

__all__ = [
    "Attitude",
    "Body",
    "Corner",
    "Joined",
    "Load",
    "SpringAt",
    "Stand",
    "Vehicle",
    "balance",
    "stand",
]
