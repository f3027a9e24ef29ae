"""What a cold tyre pressure asks to be done.

References
----------
.. [1] FAA AC 20-97B, *Aircraft Tire Maintenance and Operational Practices*, 18 Apr 2005, change 1
       of 11 Sep 2018. The normal range was seen in tyre makers' manuals that repeat it; the rows of
       the action table below 100 % and above 105 % are from memory, source not seen.
"""

from dataclasses import dataclass
from enum import IntEnum
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calculations.checks import Checks, FloatArray
from calculations.constants import STANDARD_ATMOSPHERE_PSI
from calculations.tyre import pressure_at_temperature

_EDGE_DIGITS: Final = 9  # 31.668/30.16 is 105 % on paper but not in binary; edges belong to the milder band


class Band(IntEnum):
    """Where a cold pressure stands, the worse the lower."""

    FLAT = 0
    REMOVE_WITH_MATE = 1
    REMOVE = 2
    INSPECT = 3
    REINFLATE = 4
    NORMAL = 5
    ABOVE = 6


_LOWER_EDGES: Final = np.array([0.80, 0.90, 0.95, 1.00])  # shares of service pressure, [1]
_UPPER_EDGE: Final = 1.05  # [1]

_ACTIONS: Final = {
    Band.FLAT: "scrap the tyre if it lost its pressure while rolling; otherwise remove wheel and tyre for inspection",
    Band.REMOVE_WITH_MATE: "remove wheel and tyre for inspection",
    Band.REMOVE: "remove wheel and tyre for inspection",
    Band.INSPECT: "look for the cause, inflate to service pressure, record it; "
    "remove if it loses more than 5 % again within 24 h",
    Band.REINFLATE: "inflate to service pressure",
    Band.NORMAL: "none: within the normal cold range",
    Band.ABOVE: "let down to the normal range, cold only",
}
_MATE_ACTIONS: Final = {
    Band.FLAT: "; treat the axle mate likewise, it carried the load of both",
    Band.REMOVE_WITH_MATE: "; remove its axle mate too, it carried the load of both",
}


@dataclass(frozen=True, slots=True)
class PressureAssessment:
    """A cold reading against service pressure, as read and corrected.

    Parameters
    ----------
    corrected_psig : ndarray
        Reading at the reference temperature [psi gauge].
    raw_share, corrected_share : ndarray
        Over service pressure, as read and corrected.
    raw_band, corrected_band : ndarray of int
        `Band` of each. Act on the corrected one; show both, because the raw one is what the gauge
        and the published table say.
    """

    corrected_psig: FloatArray
    raw_share: FloatArray
    corrected_share: FloatArray
    raw_band: NDArray[np.int64]
    corrected_band: NDArray[np.int64]


def cold_pressure_band(pressure_psig: ArrayLike, service_psig: ArrayLike) -> NDArray[np.int64]:
    """Place a cold pressure in the published action table.

    Parameters
    ----------
    pressure_psig : array_like
        Cold reading [psi gauge], 0 for a flat tyre.
    service_psig : array_like
        Service pressure in the same state, loaded for a loaded wheel [psi gauge].

    Returns
    -------
    ndarray of int
        `Band`.

    Raises
    ------
    CalculationError
        If the reading is negative or service pressure not above 0.

    Notes
    -----
    Edges 80, 90, 95, 100 and 105 % [1]_; a pressure on an edge is in the milder band.

    References
    ----------
    .. [1] FAA AC 20-97B; all rows but the normal range from memory, source not seen.

    Examples
    --------
    >>> [Band(int(band)).name for band in cold_pressure_band([30.16, 29.0, 27.0], 30.16)]
    ['NORMAL', 'REINFLATE', 'REMOVE']
    """
    checks = Checks()
    pressure = checks.not_negative("pressure_psig", pressure_psig)
    service = checks.positive("service_psig", service_psig)
    checks.settle()
    share = np.round(pressure / service, _EDGE_DIGITS)
    band = int(Band.REMOVE_WITH_MATE) + np.searchsorted(_LOWER_EDGES, share, side="right")
    band = np.where(share > _UPPER_EDGE, int(Band.ABOVE), band)
    return np.asarray(np.where(pressure == 0, int(Band.FLAT), band), dtype=np.int64)


def assess_pressure(
    pressure_psig: ArrayLike,
    *,
    temperature_f: ArrayLike,
    service_psig: ArrayLike,
    reference_temperature_f: ArrayLike,
    atmosphere_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> PressureAssessment:
    """Place a cold pressure as read and as corrected to the temperature of the service pressure.

    Parameters
    ----------
    pressure_psig : array_like
        Cold reading [psi gauge].
    temperature_f : array_like
        Of the tyre then [degF].
    service_psig : array_like
        Service pressure in the same state, loaded for a loaded wheel [psi gauge].
    reference_temperature_f : array_like
        Temperature at which the tyre was or is to be set [degF].
    atmosphere_psia : array_like, optional
        Air pressure [psi absolute].

    Returns
    -------
    PressureAssessment
        Both shares and both bands.

    Raises
    ------
    CalculationError
        If a pressure or temperature is out of range.

    Notes
    -----
    A 30 psi tyre set at 59 degF stands in the "inspect" band at 32 degF with no leak at all. A
    corrected pressure below the air outside counts as 0.

    References
    ----------
    .. [1] FAA AC 20-97B; ideal gas law.

    Examples
    --------
    >>> cold = assess_pressure(27.8, temperature_f=32, service_psig=30.16, reference_temperature_f=59)
    >>> Band(int(cold.raw_band)).name, Band(int(cold.corrected_band)).name
    ('INSPECT', 'REINFLATE')
    """
    raw_band = cold_pressure_band(pressure_psig, service_psig)
    corrected = pressure_at_temperature(
        pressure_psig,
        temperature_f=temperature_f,
        wanted_temperature_f=reference_temperature_f,
        atmosphere_psia=atmosphere_psia,
    )
    # A flat tyre holds air at the pressure outside: there is nothing to correct
    corrected = np.where(np.asarray(pressure_psig) == 0, 0.0, np.maximum(corrected, 0.0))
    service = np.asarray(service_psig, dtype=np.float64)
    return PressureAssessment(
        corrected_psig=corrected,
        raw_share=np.asarray(np.asarray(pressure_psig, dtype=np.float64) / service),
        corrected_share=np.asarray(corrected / service),
        raw_band=raw_band,
        corrected_band=cold_pressure_band(corrected, service),
    )


def action_for(band: Band, wheels_per_axle: int) -> str:
    """Return what the published table asks for, without the axle mate where there is none.

    Parameters
    ----------
    band : Band
        Where the pressure stands.
    wheels_per_axle : int
        1 on light singles: the clause about the mate is left out.

    Returns
    -------
    str
        The action, in our words; the aircraft's own manual goes before it.

    Raises
    ------
    CalculationError
        If there is no wheel.

    References
    ----------
    .. [1] FAA AC 20-97B; all rows but the normal range from memory, source not seen.

    Examples
    --------
    >>> action_for(Band.REMOVE_WITH_MATE, 1)
    'remove wheel and tyre for inspection'
    """
    checks = Checks()
    checks.require(
        wheels_per_axle >= 1, "wheels_per_axle", "out_of_range", f"must be 1 or more, is {wheels_per_axle}"
    )
    checks.settle()
    return _ACTIONS[band] + (_MATE_ACTIONS.get(band, "") if wheels_per_axle > 1 else "")
