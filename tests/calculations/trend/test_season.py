"""A year without a leak: temperature alone must not alarm a CUSUM of corrected extensions.

Computed figures of the invented reference strut: tube 2.000 in, 30 in3 of fluid, 800 lbf, 3.25 in at
15 degC; climate 12 K up and down over the year.
"""

import numpy as np
from numpy.testing import assert_allclose

from calculations.strut import StrutFigures, charge_mol, correct_extension, extension_in, sensitivities
from calculations.trend.charts import cusum

STRUT = StrutFigures(
    tube_diameter_in=2.0,
    gas_column_in=1.5 / np.pi,
    fluid_volume_in3=30.0,
    full_extension_in=8.0,
    reference_load_lbf=800.0,
    reference_temperature_f=59.0,
    figures_temperature_f=59.0,
)
CHARGE = charge_mol(3.25, 59.0, 800.0, STRUT)


def fahrenheit(celsius):
    return np.asarray(celsius) * 1.8 + 32


def test_winter_and_summer_are_more_than_an_inch_apart():
    cold, hot = extension_in(CHARGE, fahrenheit([-20.0, 35.0]), 800.0, STRUT).extension_in
    assert_allclose([cold, hot], [2.483, 3.685], rtol=0, atol=0.5e-3)
    assert_allclose(hot - cold, 1.20, rtol=0, atol=0.005)


def test_autumn_looks_like_a_leak_of_three_and_a_half_percent_a_month():
    steepest_k_per_day = 12 * 2 * np.pi / 365  # printed 0.2066, which is that of a year of 365 days
    assert_allclose(steepest_k_per_day, 0.2066, rtol=0, atol=0.5e-4)
    slope = sensitivities(3.25, 59.0, 800.0, STRUT)
    per_k = 1.8 * (slope.gas_in_per_f + slope.fluid_in_per_f)  # printed for an ideal gas with fluid
    assert_allclose(per_k, 0.02115, rtol=0, atol=0.5e-5)
    assert_allclose(per_k * steepest_k_per_day, 0.00437, rtol=0, atol=0.5e-5)
    assert_allclose(per_k * steepest_k_per_day * 30, 0.131, rtol=0, atol=0.0005)
    assert_allclose(per_k * steepest_k_per_day * 30 / slope.charge_in_per_percent, 3.5, rtol=0, atol=0.05)
    assert_allclose(per_k * 10, 0.21, rtol=0, atol=0.005)  # day and night 10 K apart


def test_a_year_without_leak_alarms_raw_but_not_corrected():
    days = np.arange(0, 365, 5.0)
    rng = np.random.default_rng(12)
    temperature_f = fahrenheit(15 + 12 * np.cos(2 * np.pi * days / 365.25) + rng.normal(0, 3, days.size))
    raw = extension_in(CHARGE, temperature_f, 800.0, STRUT).extension_in + rng.normal(0, 0.06, days.size)
    corrected = correct_extension(raw, temperature_f, 800.0, STRUT).corrected_in
    settings = {"target": 3.25, "allowance": 0.03, "decision": 0.5}
    assert cusum(raw, **settings).first_signal >= 0
    assert cusum(corrected, **settings).first_signal == -1
    leaking = corrected - 0.1 * days / 30.44
    assert cusum(leaking, **settings).first_signal >= 0
