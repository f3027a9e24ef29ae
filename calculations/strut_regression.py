"""The linear model behind `calculations.strut_history`: readings, priors, corrected moments.

References
----------
.. [1] A. Gelman et al., "Bayesian Data Analysis", 3rd ed., CRC Press, 2013, section 14.8: regression
       with prior information as added observations.
.. [2] W. A. Fuller, "Measurement Error Models", Wiley, 1987, section 2.2: moments corrected for
       errors in the regressors.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from calculations.checks import Checks
from calculations.constants import PSI_PA, STANDARD_ATMOSPHERE_PSI
from calculations.gas import kelvin, table_of
from calculations.strut_correction import uncertainty_parts
from calculations.strut_figures import ReadingUncertainty, StrutFigures, StrutUncertainty

Array = npt.NDArray[np.float64]

FEWEST_READINGS: Final = 5  # ASSUMED: below this the prior is all there is

_CHARGE_PRIOR_IN: Final = 10.0  # width of an unknown charge, in inches of gas column: no information
_DRIFT_PRIOR_IN_PER_DAY: Final = 0.1 / 30.44  # ASSUMED: a healthy strut loses 0.1 in a month at most
_KNOWN: Final = 1e-3  # share to which a figure with no uncertainty may still be moved


@dataclass(frozen=True, slots=True)
class StrutReadings:
    """Readings of one strut, one-dimensional arrays of one length.

    Attributes
    ----------
    day : array_like
        When [d], from any origin.
    extension_in, temperature_f, load_lbf, atmosphere_psia : array_like
        As in `charge_mol`; air pressure may be one number.
    exercised : array_like of bool
        Whether the strut was worked before the reading.
    service : array_like of int
        Number of the last servicing before the reading: gas or fluid went in or out between two
        numbers.
    """

    day: npt.ArrayLike
    extension_in: npt.ArrayLike
    temperature_f: npt.ArrayLike
    load_lbf: npt.ArrayLike
    exercised: npt.ArrayLike = True
    service: npt.ArrayLike = 0
    atmosphere_psia: npt.ArrayLike = STANDARD_ATMOSPHERE_PSI


@dataclass(frozen=True, slots=True)
class RegressionData:
    """Checked readings with what the linear model needs of each."""

    day: Array
    extension: Array
    warmer: Array
    gas: Array  # Z T / p against the reference, so that its coefficient is a column in inches
    by_pressure: Array  # relative slope of `gas` in pressure times the pressure's uncertainty
    by_temperature: Array  # the same for temperature
    temperature_sd_k: Array
    noise: Array
    service: npt.NDArray[np.int64]

    @classmethod
    def of(cls, readings: StrutReadings, figures: StrutFigures, reading_sd: ReadingUncertainty) -> "RegressionData":
        """Check readings and take from them what the model needs."""
        columns = np.broadcast_arrays(
            np.atleast_1d(np.asarray(readings.day, dtype=np.float64)),
            *(
                np.asarray(value, dtype=np.float64)
                for value in (
                    readings.extension_in,
                    readings.temperature_f,
                    readings.load_lbf,
                    readings.atmosphere_psia,
                    readings.exercised,
                    readings.service,
                )
            ),
        )
        day, extension, temperature_f, load, atmosphere, exercised, service = columns
        checks = Checks()
        checks.finite("day", day)
        enough = day.ndim == 1 and day.size >= FEWEST_READINGS
        checks.require(enough, "extension_in", "too_few_readings", f"needs {FEWEST_READINGS} readings or more")
        checks.settle()
        parts = uncertainty_parts(
            extension,
            temperature_f,
            load,
            figures,
            atmosphere_psia=atmosphere,
            exercised=exercised > 0,
            reading_uncertainty=reading_sd,
        )
        by_reading = (
            parts.extension_in,
            parts.temperature_in,
            parts.load_in,
            parts.friction_in,
            parts.atmosphere_in,
        )
        absolute = kelvin(temperature_f)
        pressure = atmosphere + load / figures.area_in2
        slopes = table_of(figures.gas).slopes(pressure * PSI_PA, absolute)
        reference = _reference_gas(figures)
        per_psi = 1 / pressure - slopes.pressure_slope * PSI_PA
        # Friction and weather do not blur what is recorded of the load, so they belong to the scatter
        # alone; correcting the moments for them would make the gas column too large.
        pressure_sd = np.asarray(reading_sd.load_lbf) / figures.area_in2
        temperature_sd_k = np.broadcast_to(np.asarray(reading_sd.temperature_f) / 1.8, day.shape)
        return cls(
            day=day,
            extension=extension,
            warmer=absolute - kelvin(figures.figures_temperature_f),
            gas=np.exp(slopes.value) * absolute / pressure / reference,
            by_pressure=per_psi * pressure_sd,
            by_temperature=(1 / absolute + slopes.temperature_slope) * temperature_sd_k,
            temperature_sd_k=temperature_sd_k,
            noise=np.sqrt(np.sum(np.square(by_reading), axis=0)),
            service=np.unique(service, return_inverse=True)[1],
        )


@dataclass(frozen=True, slots=True)
class RegressionSystem:
    """Linear model with priors: columns are h0, w, then one charge and one loss per servicing."""

    design: Array
    extension: Array
    prior_mean: Array
    prior_precision: Array
    regressor_variance: tuple[Array, Array, Array]  # of gas, of gas with warmth, of warmth; per reading
    service: npt.NDArray[np.int64]
    services: int

    def solve(self, weights: Array) -> tuple[Array, Array]:
        """Return posterior mean and covariance for given weights of the readings."""
        weighted = self.design * weights[:, np.newaxis]
        precision = np.diag(self.prior_precision)
        moments = weighted.T @ self.design
        target = weighted.T @ self.extension + self.prior_precision * self.prior_mean
        corrected = moments - self._error_moments(weights) + precision
        # Few readings can leave less than their errors explain; then the plain moments must do.
        smallest = np.linalg.eigvalsh(
            corrected / np.sqrt(np.outer(np.diag(moments + precision), np.diag(moments + precision)))
        )[0]
        if smallest <= 1e-6:
            corrected = moments + precision
        inverse = np.linalg.inv(corrected)
        covariance = inverse @ (moments + precision) @ inverse
        return inverse @ target, covariance

    def _error_moments(self, weights: Array) -> Array:
        size = self.design.shape[1]
        errors = np.zeros((size, size))
        gas, both, warmth = self.regressor_variance
        errors[1, 1] = np.sum(weights * warmth)
        for index in range(self.services):
            own = self.service == index
            column = 2 + 2 * index
            errors[column, column] = np.sum((weights * gas)[own])
            errors[column, 1] = errors[1, column] = np.sum((weights * both)[own])
        return errors


def regression_system(data: RegressionData, figures: StrutFigures, sd: StrutUncertainty) -> RegressionSystem:
    """Return the linear model of readings, with the given figures as priors."""
    services = int(data.service.max()) + 1
    design = np.zeros((data.day.size, 2 + 2 * services))
    design[:, 0] = -1.0
    design[:, 1] = data.warmer
    growth = float(figures.fluid_growth_in_per_k)
    column = float(np.asarray(figures.gas_column_in))
    mean = np.zeros(2 + 2 * services)
    width = np.ones(2 + 2 * services)
    mean[:2] = column, growth
    fluid = max(float(np.asarray(figures.fluid_volume_in3)), 1e-9)
    expansion = max(float(np.asarray(figures.fluid_expansion_per_k)), 1e-12)
    growth_share = np.hypot(
        float(np.asarray(sd.fluid_volume_in3)) / fluid,
        float(np.asarray(sd.fluid_expansion_per_k)) / expansion,
    )
    width[0] = max(float(np.asarray(sd.gas_column_in)), _KNOWN * (column + 1e-3))
    width[1] = growth * max(float(growth_share), _KNOWN) + 1e-12
    for index in range(services):
        own = data.service == index
        design[own, 2 + 2 * index] = data.gas[own]
        design[own, 3 + 2 * index] = -(data.day[own] - data.day[own].mean())
        mean[2 + 2 * index] = np.mean((data.extension[own] + column - growth * data.warmer[own]) / data.gas[own])
        width[2 + 2 * index] = _CHARGE_PRIOR_IN
        width[3 + 2 * index] = _DRIFT_PRIOR_IN_PER_DAY
    return RegressionSystem(
        design=design,
        extension=data.extension,
        prior_mean=mean,
        prior_precision=1 / width**2,
        regressor_variance=(
            data.gas**2 * (data.by_pressure**2 + data.by_temperature**2),
            data.gas * data.by_temperature * data.temperature_sd_k,
            data.temperature_sd_k**2,
        ),
        service=data.service,
        services=services,
    )


def _reference_gas(figures: StrutFigures) -> float:
    absolute = kelvin(figures.reference_temperature_f)
    pressure = STANDARD_ATMOSPHERE_PSI + np.asarray(figures.reference_load_lbf) / figures.area_in2
    z = np.exp(table_of(figures.gas).log_z(pressure * PSI_PA, absolute))
    return float(z * absolute / pressure)
