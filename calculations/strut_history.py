"""Gas column, fluid and temperature sensitivity of a strut, learned from its own readings.

Nobody measures the gas column, and few sheets give it; but load moves a strut by the gas column and
temperature by gas and fluid together, so a season of readings tells.

References
----------
.. [1] A. Gelman et al., "Bayesian Data Analysis", 3rd ed., CRC Press, 2013, section 14.8: regression
       with prior information as added observations.
.. [2] W. A. Fuller, "Measurement Error Models", Wiley, 1987, section 2.2: moments corrected for
       errors in the regressors.
.. [3] P. J. Huber, E. M. Ronchetti, "Robust Statistics", 2nd ed., Wiley, 2009, chapter 7.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.errors import refuse
from calculations.strut_figures import ReadingUncertainty, StrutFigures, StrutUncertainty
from calculations.strut_regression import (
    RegressionData,
    RegressionSystem,
    StrutReadings,
    regression_system,
)
from calculations.strut_slopes import slopes_at

Array = npt.NDArray[np.float64]

_ROUNDS: Final = 8  # reweighting settles well before
_HUBER: Final = 1.5  # residuals above this many sigma count less, [3]
_BLUNDER: Final = 3.5  # and above this not at all: a misread ruler, a wrong leg
_NOISE_PRIOR_COUNT: Final = 20.0  # readings that the stated reading uncertainty is worth, ASSUMED


@dataclass(frozen=True, slots=True)
class HistoryEstimate:
    """What a strut's own readings say about its figures.

    Attributes
    ----------
    figures : StrutFigures
        The given figures with gas column and fluid volume as learned.
    uncertainty : StrutUncertainty
        The given uncertainties with those two as learned (1 sigma).
    temperature_in_per_f, temperature_uncertainty_in_per_f : float
        Movement by temperature at the mean extension and reference conditions [in/degF].
    load_in_per_lbf, load_uncertainty_in_per_lbf : float
        Movement by load there [in/lbf].
    gas_column_share, fluid_volume_share : float
        Share of the prior variance that the readings took away, 0 (nothing learned) to 1.
    readings_used : int
        Readings that counted; the others looked like blunders.
    noise_factor : float
        Scatter found over scatter stated [-]; well above 1 is friction, or inputs worse than stated.
    """

    figures: StrutFigures
    uncertainty: StrutUncertainty
    temperature_in_per_f: float
    temperature_uncertainty_in_per_f: float
    load_in_per_lbf: float
    load_uncertainty_in_per_lbf: float
    gas_column_share: float
    fluid_volume_share: float
    readings_used: int
    noise_factor: float


def estimate_from_readings(
    readings: StrutReadings,
    figures: StrutFigures,
    figures_uncertainty: StrutUncertainty,
    reading_uncertainty: ReadingUncertainty | None = None,
) -> HistoryEstimate:
    r"""Return gas column, fluid volume and sensitivities as the strut's own readings have them.

    Parameters
    ----------
    readings : StrutReadings
        At least 5; readings of many loads teach the gas column, of many temperatures the fluid.
    figures, figures_uncertainty : StrutFigures, StrutUncertainty
        What is believed beforehand, as from `estimate_missing`; fields scalar.
    reading_uncertainty : ReadingUncertainty, optional
        How well the readings were made.

    Raises
    ------
    CalculationError
        ``too_few_readings``, ``no_reading_fits`` (all look like blunders), and what `correct_extension` refuses.

    Notes
    -----
    A resting strut is linear in what is unknown:

    .. math:: x_i = N_s \frac{Z_i T_i}{p_i} - h_0 + w (T_i - T_f) - d_s (t_i - t_s) + e_i

    with one charge N and one slow loss d per servicing s, gas column h0 and fluid growth
    ``w = V_fluid beta / A``. Solved by least squares with the priors as added observations [1]_,
    moments corrected for the errors of temperature and load [2]_ (which otherwise make both slopes
    too small), Huber weights [3]_ and blunders beyond 3.5 sigma left out. The tube's area is taken
    as known. Uncertainties are scaled by the scatter found.

    References
    ----------
    .. [1] Gelman et al., "Bayesian Data Analysis", 2013, section 14.8.
    .. [2] Fuller, "Measurement Error Models", 1987, section 2.2.
    .. [3] Huber and Ronchetti, "Robust Statistics", 2009, chapter 7.

    Examples
    --------
    >>> rng = np.random.default_rng(7)
    >>> truth = StrutFigures(2.375, 3.0, 40.0, 9.0, 800.0)
    >>> temperature, load = rng.uniform(20, 95, 60), rng.uniform(600, 1000, 60)
    >>> from calculations.strut_state import extension_in
    >>> seen = extension_in(0.27, temperature, load, truth).extension_in + rng.normal(0, 0.06, 60)
    >>> readings = StrutReadings(np.arange(60.0), seen, temperature, load)
    >>> found = estimate_from_readings(
    ...     readings, replace(truth, gas_column_in=2.0), StrutUncertainty(gas_column_in=0.8)
    ... )
    >>> abs(found.figures.gas_column_in - 3.0) < 2 * found.uncertainty.gas_column_in < 1.0
    True
    """
    reading_sd = reading_uncertainty or ReadingUncertainty()
    data = RegressionData.of(readings, figures, reading_sd)
    system = regression_system(data, figures, figures_uncertainty)
    weights = 1 / data.noise**2
    used = np.ones(data.extension.size, dtype=bool)
    noise_factor = 1.0
    for _ in range(_ROUNDS):
        mean, covariance = system.solve(weights)
        residual = (data.extension - system.design @ mean) / data.noise
        squares = np.minimum(residual**2, _BLUNDER**2)
        noise_factor = float(np.sqrt((_NOISE_PRIOR_COUNT + squares.sum()) / (_NOISE_PRIOR_COUNT + squares.size)))
        size = np.abs(residual) / noise_factor
        used = size <= _BLUNDER
        huber = np.where(used, np.minimum(1.0, _HUBER / np.maximum(size, 1e-12)), 0.0)
        weights = huber / (data.noise * noise_factor) ** 2
    if not used.any():
        raise refuse("extension_in", "no_reading_fits", "agrees with no strut at any time: check units and figures")
    return _estimate(data, system, mean, covariance, used, noise_factor, figures, figures_uncertainty)


def _estimate(
    data: RegressionData,
    system: RegressionSystem,
    mean: Array,
    covariance: Array,
    used: npt.NDArray[np.bool_],
    noise_factor: float,
    figures: StrutFigures,
    sd: StrutUncertainty,
) -> HistoryEstimate:
    area = float(figures.area_in2)
    expansion = float(np.asarray(figures.fluid_expansion_per_k))
    column, growth = mean[:2]
    extension = float(data.extension[used].mean())
    per_column, warmer, _ = slopes_at(
        extension,
        float(np.asarray(figures.reference_temperature_f)),
        float(np.asarray(figures.reference_load_lbf)),
        figures,
    )
    rate = float(per_column.temperature)
    by_both = np.array([rate, 1 - rate * float(warmer)])
    gas_column = extension + column - growth * float(warmer)
    by_load = -float(per_column.pressure) / area
    by_load_both = by_load * np.array([1.0, -float(warmer)])
    both = covariance[:2, :2]
    kept = np.diag(both) * system.prior_precision[:2]
    fluid = growth * area / expansion if expansion else float(np.asarray(figures.fluid_volume_in3))
    fluid_sd = float(np.sqrt(both[1, 1])) * area / expansion if expansion else float(np.asarray(sd.fluid_volume_in3))
    return HistoryEstimate(
        figures=replace(figures, gas_column_in=float(column), fluid_volume_in3=float(fluid)),
        # What is learned is the growth, volume times expansion; all its width is put on the volume.
        uncertainty=replace(
            sd, gas_column_in=float(np.sqrt(both[0, 0])), fluid_volume_in3=fluid_sd, fluid_expansion_per_k=0.0
        ),
        temperature_in_per_f=float(gas_column * rate + growth) / 1.8,
        temperature_uncertainty_in_per_f=float(np.sqrt(by_both @ both @ by_both)) / 1.8,
        load_in_per_lbf=gas_column * by_load,
        load_uncertainty_in_per_lbf=float(np.sqrt(by_load_both @ both @ by_load_both)),
        gas_column_share=float(np.clip(1 - kept[0], 0, 1)),
        fluid_volume_share=float(np.clip(1 - kept[1], 0, 1)),
        readings_used=int(used.sum()),
        noise_factor=noise_factor,
    )
