"""Small seeded fleets, drawn once per session."""

import pytest

from calculations.drift import Histories
from tests.simulator import Fleet, Scenario, simulate
from tests.simulator.as_histories import histories_of


@pytest.fixture(scope="session")
def quiet_fleet() -> Fleet:
    return simulate(Scenario(struts=250), seed=7301)


@pytest.fixture(scope="session")
def quiet_histories(quiet_fleet: Fleet) -> Histories:
    return histories_of(quiet_fleet)


@pytest.fixture(scope="session")
def leaking_fleet() -> Fleet:
    return simulate(Scenario(struts=60, leak_in_per_month=0.2), seed=7302)


@pytest.fixture(scope="session")
def leaking_histories(leaking_fleet: Fleet) -> Histories:
    return histories_of(leaking_fleet)
