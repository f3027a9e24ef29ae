"""What to set when servicing: the extension for today's temperature and load, and the friction band."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from calculations.checks import Checks
from calculations.constants import STANDARD_ATMOSPHERE_PSI
from calculations.strut_correction import correct_extension
from calculations.strut_figures import ReadingUncertainty, StrutFigures, StrutUncertainty
from calculations.strut_state import charge_mol, extension_in

Array = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]

_EXACT_READING = ReadingUncertainty(0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class ServicingTable:
    """Extension to set, one row per temperature and one column per load.

    Attributes
    ----------
    temperatures_f, loads_lbf : ndarray
        [degF] and [lbf].
    extension_in : ndarray, shape (temperatures, loads)
        [in], not clipped.
    uncertainty_in : ndarray, shape (temperatures, loads)
        1 sigma [in] from the strut's figures alone; nothing at the reference temperature and load.
    within_travel : ndarray of bool
        False where the strut would rest against a stop: there is no extension to set.
    """

    temperatures_f: Array
    loads_lbf: Array
    extension_in: Array
    uncertainty_in: Array
    within_travel: BoolArray


@dataclass(frozen=True, slots=True)
class FrictionBand:
    """Extensions [in] between which friction may hold a strut; not clipped.

    Attributes
    ----------
    lowest_in : ndarray
        Where it comes to rest after extending.
    highest_in : ndarray
        Where it comes to rest after being compressed.
    within_travel : ndarray of bool
        False where either end lies beyond a stop.
    """

    lowest_in: Array
    highest_in: Array
    within_travel: BoolArray


def servicing_table(
    target_extension_in: float,
    temperatures_f: npt.ArrayLike,
    loads_lbf: npt.ArrayLike,
    figures: StrutFigures,
    *,
    atmosphere_psia: float = STANDARD_ATMOSPHERE_PSI,
    reference_atmosphere_psia: float = STANDARD_ATMOSPHERE_PSI,
    figures_uncertainty: StrutUncertainty | None = None,
) -> ServicingTable:
    """Return the extension to set so that the strut has its target at reference temperature and load.

    Parameters
    ----------
    target_extension_in : float
        Extension of the type sheet [in] at the reference temperature, load and air pressure.
    temperatures_f, loads_lbf : array_like
        One-dimensional: temperatures [degF] and loads along the strut [lbf] to tabulate.
    figures : StrutFigures
        One strut, fields scalar.
    atmosphere_psia, reference_atmosphere_psia : float
        Air pressure where the strut is serviced, and of the reference [psia].
    figures_uncertainty : StrutUncertainty, optional
        How well the figures are known.

    Raises
    ------
    CalculationError
        As `correct_extension`. Faults of ``loads_lbf`` and ``temperatures_f`` carry the names of the
        reference they stand for: ``reference_load_lbf``, ``reference_temperature_f``.

    Notes
    -----
    It is `correct_extension` the other way: the reference condition is the reading, and each cell
    is what it is corrected to.

    Examples
    --------
    >>> strut = StrutFigures(2.0, 1.5 / 3.141593, 30.0, 8.0, 800.0, 59.0, figures_temperature_f=59.0)
    >>> servicing_table(3.25, [32.0, 95.0], [800.0], strut).extension_in.round(3).tolist()
    [[2.922], [3.685]]
    """
    temperatures = np.atleast_1d(np.asarray(temperatures_f, dtype=np.float64))
    loads = np.atleast_1d(np.asarray(loads_lbf, dtype=np.float64))
    cells = replace(
        figures, reference_temperature_f=temperatures[:, np.newaxis], reference_load_lbf=loads[np.newaxis, :]
    )
    found = correct_extension(
        target_extension_in,
        figures.reference_temperature_f,
        figures.reference_load_lbf,
        cells,
        atmosphere_psia=reference_atmosphere_psia,
        reference_atmosphere_psia=atmosphere_psia,
        figures_uncertainty=figures_uncertainty,
        reading_uncertainty=_EXACT_READING,
    )
    return ServicingTable(temperatures, loads, found.corrected_in, found.uncertainty_in, found.within_travel)


def friction_band(
    frictionless_extension_in: npt.ArrayLike,
    temperature_f: npt.ArrayLike,
    load_lbf: npt.ArrayLike,
    friction_lbf: npt.ArrayLike,
    figures: StrutFigures,
    *,
    atmosphere_psia: npt.ArrayLike = STANDARD_ATMOSPHERE_PSI,
) -> FrictionBand:
    """Return the extensions between which friction may hold a strut.

    Parameters
    ----------
    frictionless_extension_in : array_like
        Extension without friction, as after exercising [in].
    temperature_f, load_lbf, figures, atmosphere_psia
        As in `charge_mol`.
    friction_lbf : array_like
        Friction of the seals along the strut [lbf], less than the load.

    Raises
    ------
    CalculationError
        As `charge_mol`; ``friction_lbf`` (``friction_above_load``).

    Notes
    -----
    ``p = p_atm + (F + s f) / A`` with s = +1 where the last movement was extending, -1 where it was
    compressing: friction then helps or spares the gas.

    Examples
    --------
    >>> strut = StrutFigures(2.375, 2.0, 40.0, 9.0, 800.0)
    >>> band = friction_band(4.5, 70.0, 800.0, 40.0, strut)
    >>> round(float(band.lowest_in) - 4.5, 2), round(float(band.highest_in) - 4.5, 2)
    (-0.29, 0.32)
    """
    checks = Checks()
    friction = checks.not_negative("friction_lbf", friction_lbf)
    load = checks.positive("load_lbf", load_lbf)
    checks.require(
        ~(friction >= load), "friction_lbf", "friction_above_load", "must be less than the load: the strut is bound"
    )
    checks.settle()
    charge = charge_mol(frictionless_extension_in, temperature_f, load, figures, atmosphere_psia=atmosphere_psia)
    low, high = (
        extension_in(charge, temperature_f, force, figures, atmosphere_psia=atmosphere_psia)
        for force in (load + friction, load - friction)
    )
    return FrictionBand(low.extension_in, high.extension_in, low.within_travel & high.within_travel)
