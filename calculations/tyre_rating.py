"""What the sidewall says: size, rating and the pressure that a smaller load asks for; store and gauge.

References
----------
.. [1] Tire and Rim Association, *Aircraft Year Book*, and makers' data books: rules and ratings
       from memory, source not seen; the user confirms them from the sidewall.
.. [2] FAA AC 20-97B: storage, as repeated by a trade page; gauge, as a tyre maker recommends.
"""

import re
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calculations.checks import BoolArray, Checks, FloatArray
from calculations.errors import refuse

GAUGE_ERROR_SHARE: Final = 0.0025  # [2]
GAUGE_RESOLUTION_PSI: Final = 2.0  # [psi], [2]
COOLEST_STORE_F: Final = 32.0  # [degF], [2]
WARMEST_STORE_F: Final = 85.0  # [degF], [2]


@dataclass(frozen=True, slots=True)
class TyreSize:
    """What a size on the sidewall says.

    Parameters
    ----------
    section_in, rim_in : float
        Width of section and diameter of rim [in].
    outer_diameter_in : float or None
        Diameter over the tread [in], where the size gives it.
    """

    section_in: float
    rim_in: float
    outer_diameter_in: float | None


@dataclass(frozen=True, slots=True)
class TyreRating:
    """Rated load and the inflation that goes with it.

    Parameters
    ----------
    size : str
        As on the sidewall.
    ply : int
        Ply rating.
    load_lbf : float
        Rated load [lbf].
    unloaded_psig : float
        Rated inflation, wheel off the ground [psi gauge].
    """

    size: str
    ply: int
    load_lbf: float
    unloaded_psig: float


# [1]: from memory, to be confirmed from sidewall or data book before use
RATINGS: Final = (
    TyreRating("5.00-5", 4, 800, 31),
    TyreRating("5.00-5", 6, 1285, 50),
    TyreRating("6.00-6", 4, 1150, 29),
    TyreRating("6.00-6", 6, 1750, 42),
    TyreRating("6.00-6", 8, 2350, 55),
    TyreRating("7.00-6", 6, 1900, 38),
    TyreRating("8.00-6", 4, 1350, 23),
    TyreRating("8.00-6", 6, 2050, 35),
    TyreRating("8.50-6", 4, 1500, 22),
    TyreRating("8.50-6", 6, 2275, 30),
    TyreRating("15x6.00-6", 4, 1250, 45),
    TyreRating("15x6.00-6", 6, 1950, 68),
)

_SIZE: Final = re.compile(r"(?:(?P<outer>\d+(?:\.\d+)?)[x×])?(?P<section>\d+(?:\.\d+)?)-(?P<rim>\d+(?:\.\d+)?)")


def read_size(text: str) -> TyreSize:
    """Read a size such as "6.00-6" or "15x6.00-6".

    Parameters
    ----------
    text : str
        As on the sidewall.

    Returns
    -------
    TyreSize
        Section, rim and, in the three-part form, outer diameter.

    Raises
    ------
    CalculationError
        If the text is neither form.

    References
    ----------
    .. [1] FAA TSO-C62d and Tire and Rim Association size designations.

    Examples
    --------
    >>> read_size("15x6.00-6")
    TyreSize(section_in=6.0, rim_in=6.0, outer_diameter_in=15.0)
    """
    found = _SIZE.fullmatch(text.strip().replace("X", "x"))
    if found is None:
        raise refuse("size", "not_a_tyre_size", f'must look like "6.00-6" or "15x6.00-6", is {text!r}')
    outer = found["outer"]
    return TyreSize(float(found["section"]), float(found["rim"]), float(outer) if outer else None)


def pressure_for_load_psig(
    load_lbf: ArrayLike, *, rated_load_lbf: ArrayLike, rated_unloaded_psig: ArrayLike
) -> FloatArray:
    """Return the unloaded pressure that a load below the rating asks for.

    Parameters
    ----------
    load_lbf : array_like
        Greatest static load on the wheel [lbf].
    rated_load_lbf, rated_unloaded_psig : array_like
        Rated load [lbf] and inflation [psi gauge] of the tyre.

    Returns
    -------
    ndarray
        Unloaded pressure [psi gauge].

    Raises
    ------
    CalculationError
        If the load exceeds the rated load, whatever the pressure.

    Notes
    -----
    p = p_rated F/F_rated. The aircraft's own manual goes before this.

    References
    ----------
    .. [1] Tire and Rim Association, from memory, source not seen.

    Examples
    --------
    >>> round(float(pressure_for_load_psig(920, rated_load_lbf=1150, rated_unloaded_psig=29)), 2)
    23.2
    """
    checks = Checks()
    load = checks.positive("load_lbf", load_lbf)
    rated_load = checks.positive("rated_load_lbf", rated_load_lbf)
    rated_pressure = checks.positive("rated_unloaded_psig", rated_unloaded_psig)
    checks.require(
        ~(load > rated_load), "load_lbf", "above_rated_load", "exceeds the rated load: no pressure makes up for it"
    )
    checks.settle()
    return np.asarray(rated_pressure * load / rated_load)


def gauge_is_fit(error_share: ArrayLike, resolution_psi: ArrayLike) -> BoolArray:
    """Tell whether a gauge is good enough for tyre pressures.

    Parameters
    ----------
    error_share : array_like
        Greatest error as a share of the reading.
    resolution_psi : array_like
        Smallest step that can be read [psi].

    Returns
    -------
    ndarray of bool
        True at an error of 0.25 % or less and steps of 2 psi or less.

    Raises
    ------
    CalculationError
        If a figure is negative.

    References
    ----------
    .. [1] A tyre maker's care manual.

    Examples
    --------
    >>> bool(gauge_is_fit(0.0025, 2.0))
    True
    """
    checks = Checks()
    error = checks.not_negative("error_share", error_share)
    resolution = checks.not_negative("resolution_psi", resolution_psi)
    checks.settle()
    return np.asarray((error <= GAUGE_ERROR_SHARE) & (resolution <= GAUGE_RESOLUTION_PSI))


def stack_height(outer_diameter_in: ArrayLike) -> NDArray[np.int64]:
    """Return how many tyres may lie on one another in store, where racks are lacking.

    Parameters
    ----------
    outer_diameter_in : array_like
        Of the tyre [in].

    Returns
    -------
    ndarray of int
        5 up to 40 in, 4 up to 49 in, 3 above.

    Raises
    ------
    CalculationError
        If the diameter is not above 0.

    Notes
    -----
    Vertical racks are better. Cool (`may_be_stored_at`), dry, dark, away from ozone and oil.

    References
    ----------
    .. [1] FAA AC 20-97B, as repeated by a trade page.

    Examples
    --------
    >>> int(stack_height(17))
    5
    """
    checks = Checks()
    diameter = checks.positive("outer_diameter_in", outer_diameter_in)
    checks.settle()
    return np.asarray(np.select([diameter <= 40, diameter <= 49], [5, 4], 3), dtype=np.int64)


def may_be_stored_at(temperature_f: ArrayLike) -> BoolArray:
    """Tell whether a room is cool enough, and free of frost, for tyres in store.

    Parameters
    ----------
    temperature_f : array_like
        Of the room [degF].

    Returns
    -------
    ndarray of bool
        True from 32 to 85 degF.

    Raises
    ------
    CalculationError
        If the temperature is not a number.

    References
    ----------
    .. [1] FAA AC 20-97B, as repeated by a trade page.

    Examples
    --------
    >>> may_be_stored_at([20, 70, 95]).tolist()
    [False, True, False]
    """
    checks = Checks()
    temperature = checks.finite("temperature_f", temperature_f)
    checks.settle()
    return np.asarray((temperature >= COOLEST_STORE_F) & (temperature <= WARMEST_STORE_F))
