"""The shoot: setups in the order that costs least, what it takes, and on which day."""

from animatic.shoot.estimate import Day, Plan, Stint, plan_shoot
from animatic.shoot.order import Ordered, best_order

__all__ = ["Day", "Ordered", "Plan", "Stint", "best_order", "plan_shoot"]
