"""Action bands of a cold pressure: FAA AC 20-97B, the normal range as care manuals repeat it.

All other rows of its table are from memory, source not seen; they match manufacturers' manuals.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from calculations.errors import CalculationError
from calculations.tyre import loaded_pressure_psig, pressure_at_temperature
from calculations.tyre_bands import (
    Band,
    action_for,
    assess_pressure,
    cold_pressure_band,
)


# Action table of AC 20-97B; edges computed for unloaded 29.0 psi, loaded service 30.16
@pytest.mark.parametrize(
    ("pressure", "band"),
    [
        (31.669, Band.ABOVE),
        (31.668, Band.NORMAL),
        (30.16, Band.NORMAL),
        (30.15, Band.REINFLATE),
        (28.652, Band.REINFLATE),
        (28.649, Band.INSPECT),
        (27.144, Band.INSPECT),
        (27.141, Band.REMOVE),
        (24.128, Band.REMOVE),
        (24.125, Band.REMOVE_WITH_MATE),
        (0.0, Band.FLAT),
    ],
)
def test_band_edges_of_the_published_table(pressure, band):
    assert cold_pressure_band(pressure, loaded_pressure_psig(29.0)) == band


# Action table of AC 20-97B, in our words
@pytest.mark.parametrize(
    ("band", "words"),
    [
        (Band.ABOVE, ("let down to the normal range",)),
        (Band.NORMAL, ("none", "normal cold range")),
        (Band.REINFLATE, ("inflate to service pressure",)),
        (
            Band.INSPECT,
            ("cause", "inflate to service pressure", "record", "remove if", "more than 5 % again", "24 h"),
        ),
        (Band.REMOVE, ("remove wheel and tyre",)),
        (Band.REMOVE_WITH_MATE, ("remove wheel and tyre", "remove its axle mate too")),
        (Band.FLAT, ("scrap the tyre if it lost its pressure while rolling", "axle mate likewise")),
    ],
)
def test_each_band_asks_for_what_the_published_table_says(band, words):
    action = action_for(band, 2)
    assert [word for word in words if word not in action] == []


def test_single_wheels_have_no_axle_mate():
    for band in Band:
        assert "mate" not in action_for(band, 1)
    assert "mate" in action_for(Band.REMOVE_WITH_MATE, 2)
    assert "mate" in action_for(Band.FLAT, 2)
    assert "mate" not in action_for(Band.REMOVE, 2)


def test_a_tyre_set_at_59_degrees_looks_leaky_at_freezing_without_a_leak():
    # computed, gas law: 29 psig at 59 degF reads 26.725 at 32 degF; against 29.0 that is the inspect band
    found = assess_pressure(26.725, temperature_f=32, service_psig=29.0, reference_temperature_f=59)
    assert found.raw_band == Band.INSPECT
    assert_allclose(found.raw_share, 1 - 0.0784, rtol=0, atol=0.5e-4)
    # the printed 26.725 is 26.7253 rounded, so half a digit warmed to 59 degF may be missing
    assert_allclose(found.corrected_psig, 29.0, rtol=0, atol=0.0005 * 518.67 / 491.67)
    assert found.corrected_band == Band.REINFLATE
    set_at_59 = pressure_at_temperature([29.0, 30.0], temperature_f=59, wanted_temperature_f=32)
    found = assess_pressure(set_at_59, temperature_f=32, service_psig=[29.0, 30.0], reference_temperature_f=59)
    assert found.raw_band.tolist() == [Band.INSPECT] * 2
    assert found.corrected_band.tolist() == [Band.NORMAL] * 2


def test_a_flat_tyre_is_flat_at_any_temperature():
    found = assess_pressure([0.0, 0.2], temperature_f=100, service_psig=29.0, reference_temperature_f=0)
    assert found.corrected_psig.tolist() == [0.0, 0.0]
    assert found.corrected_band.tolist() == [Band.FLAT, Band.FLAT]
    assert found.raw_band.tolist() == [Band.FLAT, Band.REMOVE_WITH_MATE]


@pytest.mark.parametrize(
    ("call", "fields"),
    [
        (lambda: cold_pressure_band(-1, 0), {"pressure_psig", "service_psig"}),
        (lambda: action_for(Band.NORMAL, 0), {"wheels_per_axle"}),
    ],
)
def test_impossible_figures_are_refused(call, fields):
    with pytest.raises(CalculationError) as error:
        call()
    assert {fault.field for fault in error.value.faults} == fields


@given(st.integers(1000, 6000), st.sampled_from([(80, Band.REMOVE), (90, Band.INSPECT), (95, Band.REINFLATE)]))
def test_a_pressure_on_an_edge_is_in_the_milder_band(service_hundredths, edge):
    percent, band = edge
    pressure = float(f"{service_hundredths * percent / 10_000:.6f}")
    assert cold_pressure_band(pressure, service_hundredths / 100) == band


@given(st.floats(0.0, 60.0), st.floats(0.0, 60.0), st.floats(10.0, 50.0))
def test_more_pressure_is_never_in_a_lower_band(one, other, service):
    low, high = sorted((one, other))
    assert cold_pressure_band(low, service) <= cold_pressure_band(high, service)


@given(st.floats(1.0, 60.0), st.floats(10.0, 50.0), st.floats(0.01, 100.0))
def test_bands_do_not_depend_on_the_unit(pressure, service, scale):
    near_edge = np.min(np.abs(pressure / service - np.array([0.8, 0.9, 0.95, 1.0, 1.05]))) < 1e-8
    assert near_edge or cold_pressure_band(pressure, service) == cold_pressure_band(pressure * scale, service * scale)
