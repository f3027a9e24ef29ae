"""What a gauge on a resting strut tells: whether the gas carries the load that is believed to stand on it.

The load alone sets the pressure of a strut at rest, so a reading of it says nothing about how much gas or fluid is
in there. It checks the load, the tube's area and the friction, and shows when the strut stands on its upper stop.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.checks import Checks
from calculations.distributions import normal_upper_tail

Array = npt.NDArray[np.float64]

DISAGREES_FROM: Final = 0.10
"""Share of the load; less is what sound seals hold by friction. ASSUMED, as in the project's own study."""
AREA_SD: Final = 0.02  # ASSUMED, share of the area that a sheet's or a caliper's diameter gives
GAUGE_SD_PSI: Final = 4.0  # ASSUMED, of a gauge whose error nobody stated
ON_STOP_IN: Final = 1 / 16  # nearer to the stop than a ruler shows
_SURE: Final = 0.9
_UNLIKELY: Final = 0.2


class PressureVerdict(StrEnum):
    """Gauge pressure times area, against the load."""

    AGREES = "agrees"
    UNCLEAR = "unclear"
    """Load, area or gauge are not known well enough to say."""
    MORE_THAN_LOAD = "more than the load"
    LESS_THAN_LOAD = "less than the load"
    TOPPED_OUT = "topped out"
    """More than the load and fully out: the strut stands on its stop, and its length tells nothing of its gas."""
    BOTTOMED = "bottomed"
    """Less than the load and fully in: the stop carries the rest."""


PRESSURE_VERDICTS: Final[tuple[PressureVerdict, ...]] = tuple(PressureVerdict)
DISAGREEING: Final = frozenset({PressureVerdict.MORE_THAN_LOAD, PressureVerdict.LESS_THAN_LOAD})


@dataclass(frozen=True, slots=True)
class PressureCheck:
    """What the gas carries, and how that compares with the load.

    Attributes
    ----------
    carried_lbf : ndarray
        Gauge pressure times area [lbf].
    excess, excess_sd : ndarray
        What it carries above the load, as a share of the load, and the standard uncertainty of that [1].
    verdict : ndarray of int
        Index into `PRESSURE_VERDICTS`.
    """

    carried_lbf: Array
    excess: Array
    excess_sd: Array
    verdict: npt.NDArray[np.int64]


def check_pressure_at_rest(
    pressure_psig: npt.ArrayLike,
    load_lbf: npt.ArrayLike,
    area_in2: npt.ArrayLike,
    *,
    extension_in: npt.ArrayLike,
    full_extension_in: npt.ArrayLike,
    gauge_sd_psi: npt.ArrayLike = GAUGE_SD_PSI,
    load_sd_lbf: npt.ArrayLike = 0.0,
    area_sd: npt.ArrayLike = AREA_SD,
) -> PressureCheck:
    """Return how the gauge pressure of a strut at rest agrees with the load on it.

    Parameters
    ----------
    pressure_psig, load_lbf, area_in2 : array_like
        Gauge pressure [psig], 0 or more; load along the strut [lbf] and area of the tube at the seal [in2], above 0.
    extension_in, full_extension_in : array_like
        Extension as read and of the tube fully out [in]; the latter infinite where nobody knows it.
    gauge_sd_psi, load_sd_lbf, area_sd : array_like
        Standard uncertainties: of the gauge [psi], of the load [lbf], and of the area as a share of it [1].

    Raises
    ------
    CalculationError
        Load or area not above 0, pressure or an uncertainty below 0.

    Notes
    -----
    At rest ``p_gauge A = F + s f``, ``f`` friction and ``s`` the side it holds on: air pressure and charge do not
    appear. ``excess = p A / F - 1`` with variance ``(A s_p / F)^2 + (p A / F)^2 (s_A^2 + (s_F / F)^2)``, to first
    order. It disagrees if the chance that it truly lies beyond +-10 % is 0.9 or more, agrees if that is below
    0.2, and is unclear between.

    Examples
    --------
    >>> check = check_pressure_at_rest([180.6, 225.0], 800.0, 4.43, extension_in=4.5, full_extension_in=8.5)
    >>> [PRESSURE_VERDICTS[number].value for number in check.verdict]
    ['agrees', 'more than the load']
    """
    checks = Checks()
    pressure = checks.not_negative("pressure_psig", pressure_psig)
    load = checks.positive("load_lbf", load_lbf)
    area = checks.positive("area_in2", area_in2)
    gauge_sd = checks.not_negative("gauge_sd_psi", gauge_sd_psi)
    load_sd = checks.not_negative("load_sd_lbf", load_sd_lbf)
    share_sd = checks.not_negative("area_sd", area_sd)
    checks.settle()
    carried = pressure * area
    ratio = carried / load
    excess = ratio - 1.0
    sd = np.sqrt((area * gauge_sd / load) ** 2 + ratio**2 * (share_sd**2 + (load_sd / load) ** 2))
    scale = np.maximum(sd, np.finfo(float).tiny)
    more = normal_upper_tail((DISAGREES_FROM - excess) / scale)
    less = normal_upper_tail((DISAGREES_FROM + excess) / scale)
    extension = np.asarray(extension_in, float)
    fully_out, fully_in = extension >= np.asarray(full_extension_in, float) - ON_STOP_IN, extension <= ON_STOP_IN
    verdict = np.select(
        [
            (more >= _SURE) & fully_out,
            more >= _SURE,
            (less >= _SURE) & fully_in,
            less >= _SURE,
            more + less >= _UNLIKELY,
        ],
        [
            _INDEX[PressureVerdict.TOPPED_OUT],
            _INDEX[PressureVerdict.MORE_THAN_LOAD],
            _INDEX[PressureVerdict.BOTTOMED],
            _INDEX[PressureVerdict.LESS_THAN_LOAD],
            _INDEX[PressureVerdict.UNCLEAR],
        ],
        _INDEX[PressureVerdict.AGREES],
    )
    return PressureCheck(carried, excess, sd, np.asarray(verdict))


_INDEX: Final = {verdict: number for number, verdict in enumerate(PRESSURE_VERDICTS)}
