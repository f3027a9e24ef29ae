"""A seeded fleet of struts that nobody owns: readings, servicings and the truth behind them.

Written from the description of the simulator in the project's numerical study, independently of
``calculations``: its own strut physics, its own climate, its own people with rulers.
"""

from tests.simulator.fleet import Fleet, Truth, simulate
from tests.simulator.scenario import ALL_BAD, MAIN, NOSE, Climate, Scenario, StrutType

__all__ = ["ALL_BAD", "MAIN", "NOSE", "Climate", "Fleet", "Scenario", "StrutType", "Truth", "simulate"]
