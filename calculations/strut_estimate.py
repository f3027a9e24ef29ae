"""Figures that a type sheet lacks, estimated with honest width.

Every prior here is ASSUMED: chosen for light aircraft without a public source, wide enough that a
measurement of one's own (`calculations.strut_history`, a caliper, a jacked pressure) soon beats it.

References
----------
.. [1] D. P. Raymer, "Aircraft Design: A Conceptual Approach", AIAA (from memory, source not seen):
       a light aircraft rests at about 60 % of its stroke.
"""

from dataclasses import dataclass, fields
from typing import Final, Literal

import numpy as np

from calculations.checks import Checks
from calculations.gas import Gas
from calculations.strut_figures import (
    FIGURES_TEMPERATURE_F,
    FLUID_EXPANSION_PER_K,
    FLUID_EXPANSION_UNCERTAINTY_PER_K,
    StrutFigures,
    StrutUncertainty,
)

LegKind = Literal["main", "nose", "tail"]

REST_PRESSURE_PSIG: Final = 180.0  # ASSUMED, light aircraft at rest
REST_PRESSURE_SPREAD: Final = 0.3  # ASSUMED, share of the pressure, 1 sigma
SHEET_DIAMETER_SPREAD: Final = 0.005  # ASSUMED, a diameter from a sheet or a caliper: 1 % of area
GAS_COLUMN_IN: Final = 2.0  # ASSUMED
GAS_COLUMN_UNCERTAINTY_IN: Final = 0.8  # ASSUMED: a factor of 1.4 either way
FLUID_COLUMN_IN: Final[dict[str, float]] = {"main": 9.0, "nose": 6.4, "tail": 6.4}  # ASSUMED, in of tube
FLUID_SPREAD: Final = 0.3  # ASSUMED: a factor of 1.3 either way
TARGET_EXTENSION_IN: Final[dict[str, float]] = {"main": 4.5, "nose": 3.25, "tail": 3.25}  # ASSUMED
TUBE_DIAMETER_IN: Final[dict[str, float]] = {"main": 2.375, "nose": 2.0, "tail": 2.0}  # ASSUMED
TUBE_DIAMETER_SPREAD: Final = 0.1  # ASSUMED, where not even a load is known
REST_SHARE_OF_STROKE: Final = 0.6  # [1]
FULL_EXTENSION_SPREAD: Final = 0.15  # ASSUMED


@dataclass(frozen=True, slots=True)
class StrutSheet:
    """What a type sheet says of one strut; None where it is silent.

    Attributes
    ----------
    leg : {"main", "nose", "tail"}
        Which leg the strut is for.
    tube_diameter_in, gas_column_in, fluid_volume_in3, full_extension_in, reference_load_lbf, \
reference_temperature_f, fluid_expansion_per_k : float, optional
        As in `StrutFigures`.
    target_extension_in : float, optional
        Extension of the sheet [in], from which a missing full extension is estimated.
    rest_pressure_psig : float, optional
        Gauge pressure at rest under the reference load [psig], from which a missing tube diameter is
        estimated.
    gas : Gas
        Fill gas.
    """

    leg: LegKind
    tube_diameter_in: float | None = None
    gas_column_in: float | None = None
    fluid_volume_in3: float | None = None
    full_extension_in: float | None = None
    reference_load_lbf: float | None = None
    reference_temperature_f: float | None = None
    fluid_expansion_per_k: float | None = None
    target_extension_in: float | None = None
    rest_pressure_psig: float | None = None
    gas: Gas = Gas.NITROGEN


@dataclass(frozen=True, slots=True)
class EstimatedFigures:
    """Figures of a strut, how well each is known, and which are not the sheet's.

    Attributes
    ----------
    estimated : tuple of str
        Names of the fields of `figures` that were estimated, in the order of the sheet.
    """

    figures: StrutFigures
    uncertainty: StrutUncertainty
    estimated: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DiameterEstimate:
    """A tube diameter [in] with its standard uncertainty [in]."""

    tube_diameter_in: float
    uncertainty_in: float


def diameter_from_pressure(
    load_lbf: float,
    pressure_psig: float,
    *,
    load_uncertainty_lbf: float = 20.0,
    pressure_uncertainty_psi: float = 4.0,
    friction_fraction: float = 0.02,
) -> DiameterEstimate:
    """Return the tube diameter from the load and the gauge pressure of a strut at rest.

    Parameters
    ----------
    load_lbf, pressure_psig : float
        Load along the strut, from scales [lbf], and gauge pressure [psig], both above 0.
    load_uncertainty_lbf, pressure_uncertainty_psi, friction_fraction : float
        Standard uncertainties; the last is the share of the load that friction may hold. ASSUMED.

    Raises
    ------
    CalculationError
        Load or pressure not above 0, an uncertainty below 0.

    Notes
    -----
    ``A = F / p_gauge``, the one thing that a gauge reading at rest is good for. A strut at its upper
    stop reads high and gives too small a tube.

    Examples
    --------
    >>> found = diameter_from_pressure(800.0, 180.6)
    >>> round(found.tube_diameter_in, 3), round(found.uncertainty_in, 3)
    (2.375, 0.046)
    """
    checks = Checks()
    checks.positive("load_lbf", load_lbf)
    checks.positive("pressure_psig", pressure_psig)
    checks.not_negative("load_uncertainty_lbf", load_uncertainty_lbf)
    checks.not_negative("pressure_uncertainty_psi", pressure_uncertainty_psi)
    checks.not_negative("friction_fraction", friction_fraction)
    checks.settle()
    diameter = float(np.sqrt(4 / np.pi * load_lbf / pressure_psig))
    parts = (load_uncertainty_lbf / load_lbf, pressure_uncertainty_psi / pressure_psig, friction_fraction)
    return DiameterEstimate(diameter, diameter / 2 * float(np.sqrt(sum(part**2 for part in parts))))


def estimate_missing(sheet: StrutSheet) -> EstimatedFigures:
    """Return a strut's figures with estimates where the sheet is silent.

    Parameters
    ----------
    sheet : StrutSheet
        What is known.

    Returns
    -------
    EstimatedFigures
        Figures, standard uncertainties, and the names of what was estimated. A reference load or
        temperature has no uncertainty: it says what the corrected figure means, and a wrong one
        moves all readings of a strut alike.

    Raises
    ------
    CalculationError
        A given figure that no strut can have.

    Notes
    -----
    All ASSUMED: tube from load and rest pressure, else load at 180 psig +-30 %; gas column 2 in
    +-0.8; fluid a column of 9 in (main) or 6.4 in (nose, tail) +-30 %; full extension such that the
    target is 60 % of it [1]_, +-15 %; expansion 8.6e-4 +-0.6e-4 per kelvin.

    References
    ----------
    .. [1] Raymer, "Aircraft Design" (from memory, source not seen).

    Examples
    --------
    >>> found = estimate_missing(StrutSheet("main", tube_diameter_in=2.375, full_extension_in=9.0,
    ...                                     reference_load_lbf=800.0, reference_temperature_f=70.0))
    >>> found.estimated
    ('gas_column_in', 'fluid_volume_in3', 'fluid_expansion_per_k')
    >>> round(found.figures.fluid_volume_in3, 1), round(found.uncertainty.fluid_volume_in3, 1)
    (39.9, 12.0)
    """
    _check(sheet)
    diameter, diameter_sd = _diameter(sheet)
    area = np.pi / 4 * diameter**2
    column, column_sd = _or_prior(sheet.gas_column_in, GAS_COLUMN_IN, GAS_COLUMN_UNCERTAINTY_IN)
    fluid_prior = FLUID_COLUMN_IN[sheet.leg] * area
    fluid, fluid_sd = _or_prior(sheet.fluid_volume_in3, fluid_prior, FLUID_SPREAD * fluid_prior)
    full_prior = (sheet.target_extension_in or TARGET_EXTENSION_IN[sheet.leg]) / REST_SHARE_OF_STROKE
    full, full_sd = _or_prior(sheet.full_extension_in, full_prior, FULL_EXTENSION_SPREAD * full_prior)
    expansion, _ = _or_prior(sheet.fluid_expansion_per_k, FLUID_EXPANSION_PER_K, 0.0)
    load, _ = _or_prior(sheet.reference_load_lbf, REST_PRESSURE_PSIG * area, 0.0)
    temperature, _ = _or_prior(sheet.reference_temperature_f, FIGURES_TEMPERATURE_F, 0.0)
    figures = StrutFigures(
        tube_diameter_in=diameter,
        gas_column_in=column,
        fluid_volume_in3=fluid,
        full_extension_in=full,
        reference_load_lbf=load,
        reference_temperature_f=temperature,
        fluid_expansion_per_k=expansion,
        gas=sheet.gas,
    )
    uncertainty = StrutUncertainty(
        tube_diameter_in=diameter_sd,
        gas_column_in=column_sd,
        fluid_volume_in3=fluid_sd,
        fluid_expansion_per_k=FLUID_EXPANSION_UNCERTAINTY_PER_K,
        full_extension_in=full_sd,
    )
    return EstimatedFigures(figures, uncertainty, _silent(sheet))


def _check(sheet: StrutSheet) -> None:
    checks = Checks()
    for field in fields(sheet):
        value = getattr(sheet, field.name)
        if field.name in ("leg", "gas") or value is None:
            continue
        if field.name == "reference_temperature_f":
            checks.finite(field.name, value)
        elif field.name in ("gas_column_in", "fluid_volume_in3", "fluid_expansion_per_k"):
            checks.not_negative(field.name, value)
        else:
            checks.positive(field.name, value)
    checks.settle()


def _diameter(sheet: StrutSheet) -> tuple[float, float]:
    if sheet.tube_diameter_in is not None:
        return sheet.tube_diameter_in, SHEET_DIAMETER_SPREAD * sheet.tube_diameter_in
    if sheet.reference_load_lbf is None:
        prior = TUBE_DIAMETER_IN[sheet.leg]
        return prior, TUBE_DIAMETER_SPREAD * prior
    if sheet.rest_pressure_psig is not None:
        found = diameter_from_pressure(sheet.reference_load_lbf, sheet.rest_pressure_psig)
    else:
        found = diameter_from_pressure(
            sheet.reference_load_lbf,
            REST_PRESSURE_PSIG,
            pressure_uncertainty_psi=REST_PRESSURE_SPREAD * REST_PRESSURE_PSIG,
        )
    return found.tube_diameter_in, found.uncertainty_in


def _or_prior(known: float | None, prior: float, prior_sd: float) -> tuple[float, float]:
    return (prior, prior_sd) if known is None else (known, 0.0)


def _silent(sheet: StrutSheet) -> tuple[str, ...]:
    figures = {field.name for field in fields(StrutFigures)}
    return tuple(
        field.name for field in fields(sheet) if field.name in figures and getattr(sheet, field.name) is None
    )
