"""Hand pump: how much gas a stroke brings, how hard it pushes back, and where it stops bringing any.

References
----------
.. [1] Reciprocating compressor with clearance volume: volumetric efficiency 1 + c - c r^(1/m); any
       text on compressors, for example P. C. Hanlon (ed.), *Compressor Handbook*, McGraw-Hill, 2001,
       from memory, source not seen.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import Checks, FloatArray
from calculations.constants import STANDARD_ATMOSPHERE_PSI
from calculations.gas import Gas, amount_mol
from calculations.supply.demand import RestingStrut, gas_for_rise_mol

ARM_LIMIT_PSIA = 3000.0  # where a person's arm ends what the clearance would allow; ASSUMED


@dataclass(frozen=True, slots=True)
class HandPump:
    """A hand pump that draws in air, or gas at air pressure.

    Parameters
    ----------
    bore_in, stroke_in : array_like
        Of its first stage [in].
    clearance_share : array_like
        Volume that stays behind the piston, over the volume swept; 0 for a perfect pump.
    stages : array_like
        How many pistons press the gas one after another, the ratios shared evenly.
    exponent : array_like
        Polytropic exponent of each compression; 1 for slow pumping, 1.3 for quick (assumed).
    seal_share : array_like
        Share of the gas that worn seals let through to the strut; 1 for good ones.
    """

    bore_in: ArrayLike
    stroke_in: ArrayLike
    clearance_share: ArrayLike = 0.0
    stages: ArrayLike = 1.0
    exponent: ArrayLike = 1.0
    seal_share: ArrayLike = 1.0


@dataclass(frozen=True, slots=True)
class Intake:
    """The gas around the pump.

    Parameters
    ----------
    pressure_psia : array_like
        [psi absolute].
    temperature_f : array_like
        [degF].
    gas : Gas
        What is drawn in.
    """

    pressure_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI
    temperature_f: ArrayLike = 70.0
    gas: Gas = Gas.AIR


def displacement_in3(pump: HandPump) -> FloatArray:
    """Return the volume that one stroke sweeps.

    Parameters
    ----------
    pump : HandPump
        Bore and stroke.

    Returns
    -------
    ndarray
        Volume [in3].

    Raises
    ------
    CalculationError
        If bore or stroke is not above 0.

    References
    ----------
    .. [1] Volume of a cylinder.

    Examples
    --------
    >>> round(float(displacement_in3(HandPump(1.0, 6.0))), 4)
    4.7124
    """
    checks = Checks()
    bore = checks.positive("bore_in", pump.bore_in)
    stroke = checks.positive("stroke_in", pump.stroke_in)
    checks.settle()
    return np.asarray(np.pi / 4 * bore**2 * stroke)


def highest_pressure_psia(pump: HandPump, intake_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI) -> FloatArray:
    """Return the pressure at which a stroke brings nothing any more.

    Parameters
    ----------
    pump : HandPump
        Clearance, stages, exponent.
    intake_psia : array_like, optional
        Of the gas drawn in [psi absolute].

    Returns
    -------
    ndarray
        Highest pressure [psi absolute]; infinite where the clearance is so small that only the arm sets the limit.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    Notes
    -----
    P = P_in ((1 + c)/c)^(N m): what the clearance holds fills the next stroke.

    References
    ----------
    .. [1] Compressor with clearance volume.

    Examples
    --------
    A single stage with 5 % clearance cannot do much beyond 294 psi gauge.

    >>> round(float(highest_pressure_psia(HandPump(1.0, 6.0, clearance_share=0.05))) - 14.69595, 1)
    293.9
    """
    checks = Checks()
    clearance, root = _compression(checks, pump)
    inlet = checks.positive("intake_psia", intake_psia)
    checks.settle()
    with np.errstate(divide="ignore"):
        highest = inlet * ((1 + clearance) / clearance) ** root
    return np.where(highest > ARM_LIMIT_PSIA, np.inf, highest)


def volumetric_efficiency(
    outlet_psia: ArrayLike, pump: HandPump, intake_psia: ArrayLike = STANDARD_ATMOSPHERE_PSI
) -> FloatArray:
    """Return the share of the swept volume that a stroke delivers.

    Parameters
    ----------
    outlet_psia : array_like
        Pressure of the strut [psi absolute].
    pump : HandPump
        Clearance, stages, exponent, seals.
    intake_psia : array_like, optional
        Of the gas drawn in [psi absolute].

    Returns
    -------
    ndarray
        Share of the swept volume, as gas at intake conditions; 0 where out of reach.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    Notes
    -----
    eta = seal share (1 + c - c (P/P_in)^(1/(N m))) [1]_.

    References
    ----------
    .. [1] Compressor with clearance volume.

    Examples
    --------
    >>> three_stages = HandPump(1.25, 13.0, clearance_share=0.0475, stages=3, exponent=1.3)
    >>> round(float(volumetric_efficiency(195.3, three_stages)), 2)
    0.96
    """
    checks = Checks()
    clearance, root = _compression(checks, pump)
    outlet = checks.positive("outlet_psia", outlet_psia)
    inlet = checks.positive("intake_psia", intake_psia)
    seals = checks.between("seal_share", pump.seal_share, 0.0, 1.0)
    checks.settle()
    ratio = np.maximum(outlet / inlet, 1.0)  # a strut below air pressure fills by itself: no gain counted
    return np.asarray(seals * np.maximum(1 + clearance - clearance * ratio ** (1 / root), 0.0))


def gas_per_stroke_mol(outlet_psia: ArrayLike, pump: HandPump, intake: Intake) -> FloatArray:
    """Return the gas that a stroke brings into a strut.

    Parameters
    ----------
    outlet_psia : array_like
        Pressure of the strut [psi absolute].
    pump : HandPump
        The pump.
    intake : Intake
        The gas around it.

    Returns
    -------
    ndarray
        Gas [mol]; 0 where out of reach.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    Notes
    -----
    n = P_in V eta/(Z R T_in). A stroke brings less on a high airfield and on a hot day.

    References
    ----------
    .. [1] Gas law.

    Examples
    --------
    >>> ideal = Intake(temperature_f=59.0, gas=Gas.IDEAL)
    >>> round(float(gas_per_stroke_mol(269.344, HandPump(1.0, 6.0), ideal)), 6)
    0.003266
    """
    delivered = displacement_in3(pump) * volumetric_efficiency(outlet_psia, pump, intake.pressure_psia)
    return amount_mol(intake.pressure_psia, delivered, intake.temperature_f, intake.gas)


def rise_per_stroke_in(pump: HandPump, intake: Intake, strut: RestingStrut) -> FloatArray:
    """Return how far one stroke lengthens a resting strut: what physics expects before any log.

    Parameters
    ----------
    pump : HandPump
        The pump.
    intake : Intake
        The gas around it.
    strut : RestingStrut
        What is filled.

    Returns
    -------
    ndarray
        Rise [in per stroke], the same all along a fill; 0 where out of reach.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    Notes
    -----
    V eta P_in/(P A) T_strut/T_in, with the compressibilities of both. Hose not counted.

    References
    ----------
    .. [1] Gas law at constant pressure.

    Examples
    --------
    >>> pump = HandPump(1.25, 13.0, clearance_share=0.0475, stages=3, exponent=1.3)
    >>> round(float(rise_per_stroke_in(pump, Intake(), RestingStrut(195.3, 4.43, 70.0))), 2)
    0.26
    """
    return np.asarray(gas_per_stroke_mol(strut.pressure_psia, pump, intake) / gas_for_rise_mol(1.0, strut))


def strokes_for_rise(rise_in: ArrayLike, pump: HandPump, intake: Intake, strut: RestingStrut) -> FloatArray:
    """Return how many strokes a rise takes.

    Parameters
    ----------
    rise_in : array_like
        Wanted rise [in].
    pump, intake, strut
        As in `rise_per_stroke_in`.

    Returns
    -------
    ndarray
        Strokes; infinite where out of reach.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    References
    ----------
    .. [1] Gas law at constant pressure.

    Examples
    --------
    >>> strut = RestingStrut(269.344, 3.141593, 59.0, Gas.IDEAL)
    >>> intake = Intake(temperature_f=59.0, gas=Gas.IDEAL)
    >>> round(float(strokes_for_rise(1.25, HandPump(1.0, 6.0), intake, strut)), 2)
    15.27
    """
    checks = Checks()
    rise = checks.not_negative("rise_in", rise_in)
    checks.settle()
    with np.errstate(divide="ignore", invalid="ignore"):
        strokes = rise / rise_per_stroke_in(pump, intake, strut)
    return np.asarray(np.where(rise == 0, 0.0, strokes))


def handle_force_lbf(gauge_psig: ArrayLike, piston_diameter_in: ArrayLike) -> FloatArray:
    """Return the push at the end of a stroke against a pressure.

    Parameters
    ----------
    gauge_psig : array_like
        Pressure to push against [psi gauge].
    piston_diameter_in : array_like
        Of the last, smallest piston [in].

    Returns
    -------
    ndarray
        Force [lbf], friction and lever not counted.

    Raises
    ------
    CalculationError
        If a figure is out of range.

    References
    ----------
    .. [1] Pressure times area.

    Examples
    --------
    >>> round(float(handle_force_lbf(300, 1.0)), 2)
    235.62
    """
    checks = Checks()
    pressure = checks.not_negative("gauge_psig", gauge_psig)
    diameter = checks.positive("piston_diameter_in", piston_diameter_in)
    checks.settle()
    return np.asarray(pressure * np.pi / 4 * diameter**2)


def _compression(checks: Checks, pump: HandPump) -> tuple[FloatArray, FloatArray]:
    clearance = checks.not_negative("clearance_share", pump.clearance_share)
    stages = checks.positive("stages", pump.stages)
    checks.require((stages >= 1) & (stages == np.round(stages)), "stages", "not_whole", "must be a whole number")
    exponent = checks.between("exponent", pump.exponent, 1.0, 1.4)  # from isothermal to adiabatic
    return clearance, np.asarray(stages * exponent)
