"""What a tyre must be marked with and withstand, and how often its pressure is looked at.

References
----------
.. [1] FAA TSO-C62d, *Aircraft Tires*, 7 Sep 1990, paragraph b: marking; test pressure as a tyre maker
       sums it up.
.. [2] FAA AC 145-4: retreaded tyres, test pressure as a tyre maker sums it up.
.. [3] FAA TSO-C62c appendix 1, paragraph 5.1.1: tyres on helicopters.
.. [4] FAA AC 20-97B, as repeated by a trade page: frequency of checks.
"""

from collections.abc import Iterable
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import BoolArray, Checks, FloatArray

NEW_PROOF_FACTOR: Final = 4.0  # times rated inflation, [1]
NEW_PROOF_SECONDS: Final = 3.0  # [s] that it is held, [1]
RETREAD_PROOF_FACTOR: Final = 3.0  # times rated inflation, [2]
HELICOPTER_LOAD_FACTOR: Final = 1.5  # by which the static load may be raised, [3]
CHECK_INTERVAL_HOURS: Final = 24.0  # [h], [4]


class Marking(StrEnum):
    """What stands on the sidewall of a tyre made to the order [1]_.

    References
    ----------
    .. [1] FAA TSO-C62d, paragraph b.
    """

    MAKER = "maker"
    SPEED_RATING = "speed rating"
    LOAD_RATING = "load rating"
    SIZE = "size"
    SKID_DEPTH = "skid depth"
    SERIAL_NUMBER = "serial number"
    DATE = "date"
    PART_NUMBER = "part number and plant code"
    NONRETREADABLE = "nonretreadable"
    ORDER_NUMBER = "technical standard order number"


ONLY_WHERE_IT_HOLDS: Final = frozenset({Marking.NONRETREADABLE})  # said of tyres that must not be retreaded


def missing_markings(seen: Iterable[Marking]) -> tuple[Marking, ...]:
    """Return what should stand on the sidewall and was not found.

    Parameters
    ----------
    seen : iterable of Marking
        What was found.

    Returns
    -------
    tuple of Marking
        In the order of the list; "nonretreadable" is never missed, because most tyres are not.

    References
    ----------
    .. [1] FAA TSO-C62d, paragraph b.

    Examples
    --------
    >>> missing_markings(set(Marking) - {Marking.DATE, Marking.NONRETREADABLE})
    (<Marking.DATE: 'date'>,)
    """
    found = set(seen) | ONLY_WHERE_IT_HOLDS
    return tuple(marking for marking in Marking if marking not in found)


def proof_pressure_psig(rated_psig: ArrayLike, factor: ArrayLike = NEW_PROOF_FACTOR) -> FloatArray:
    """Return the pressure that a tyre withstood in the maker's test.

    Parameters
    ----------
    rated_psig : array_like
        Rated inflation [psi gauge].
    factor : array_like, optional
        4 for a new tyre, held 3 s; 3 for a retreaded one.

    Returns
    -------
    ndarray
        Test pressure [psi gauge]: never a pressure to inflate to.

    Raises
    ------
    CalculationError
        If a figure is not above 0.

    References
    ----------
    .. [1] FAA TSO-C62d and AC 145-4, as a tyre maker sums them up.

    Examples
    --------
    >>> float(proof_pressure_psig(29.0)), float(proof_pressure_psig(29.0, RETREAD_PROOF_FACTOR))
    (116.0, 87.0)
    """
    checks = Checks()
    rated = checks.positive("rated_psig", rated_psig)
    times = checks.positive("factor", factor)
    checks.settle()
    return np.asarray(rated * times)


def helicopter_load_lbf(rated_load_lbf: ArrayLike) -> FloatArray:
    """Return the static load that the same tyre may carry on a helicopter.

    Parameters
    ----------
    rated_load_lbf : array_like
        Rated static load on an aeroplane [lbf].

    Returns
    -------
    ndarray
        Load [lbf], half as much again.

    Raises
    ------
    CalculationError
        If the load is not above 0.

    References
    ----------
    .. [1] FAA TSO-C62c appendix 1, paragraph 5.1.1.

    Examples
    --------
    >>> float(helicopter_load_lbf(1150))
    1725.0
    """
    checks = Checks()
    rated = checks.positive("rated_load_lbf", rated_load_lbf)
    checks.settle()
    return np.asarray(HELICOPTER_LOAD_FACTOR * rated)


def pressure_check_due(
    hours_since_check: ArrayLike, *, flown_daily: ArrayLike, flights_since_check: ArrayLike = 0
) -> BoolArray:
    """Tell whether tyre pressure wants looking at before the next flight.

    Parameters
    ----------
    hours_since_check : array_like
        Since pressure was last read cold [h].
    flown_daily : array_like of bool
        Whether the aircraft flies every day.
    flights_since_check : array_like, optional
        Flights since then.

    Returns
    -------
    ndarray of bool
        True after 24 h; sooner where the aircraft does not fly daily and has flown since.

    Raises
    ------
    CalculationError
        If a figure is negative.

    Notes
    -----
    Daily, or before each flight where it is not flown daily [1]_. A look more than a day old is no look
    before the flight: chosen here, the source is silent.

    References
    ----------
    .. [1] FAA AC 20-97B, as repeated by a trade page.

    Examples
    --------
    >>> pressure_check_due([20, 30, 20], flown_daily=[True, True, False], flights_since_check=1).tolist()
    [False, True, True]
    """
    checks = Checks()
    hours = checks.not_negative("hours_since_check", hours_since_check)
    flights = checks.not_negative("flights_since_check", flights_since_check)
    checks.settle()
    daily = np.asarray(flown_daily, dtype=np.bool_)
    return np.asarray((hours > CHECK_INTERVAL_HOURS) | (~daily & (flights > 0)))
