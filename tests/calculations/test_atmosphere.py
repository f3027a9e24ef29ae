"""U.S. Standard Atmosphere, NOAA/NASA/USAF, 1976."""

import pytest

from calculations.atmosphere import standard_pressure_psia, standard_temperature_f
from calculations.constants import PSI_PA
from calculations.errors import CalculationError
from calculations.gas import kelvin

INCH_MERCURY_PA = 3386.389  # conventional inch of mercury, NIST SP 811 B.8
EARTH_RADIUS_M = 6_356_766  # by which the 1976 atmosphere turns geometric into geopotential altitude


# Computed from T = 288.15 - 0.0065 H and p = 101325 (T / 288.15)^5.25588
@pytest.mark.parametrize(
    ("elevation_ft", "temperature_k", "pressure_pa", "pressure_psi", "pressure_inhg"),
    [
        (0, 288.150, 101325.0, 14.6959, 29.921),
        (1000, 286.169, 97716.6, 14.1726, 28.856),
        (2000, 284.188, 94212.9, 13.6644, 27.821),
        (3000, 282.206, 90811.7, 13.1711, 26.817),
        (5000, 278.244, 84307.3, 12.2277, 24.896),
        (8000, 272.300, 75262.4, 10.9159, 22.225),
        (10000, 268.338, 69681.6, 10.1065, 20.577),
    ],
)
def test_air_is_that_of_the_standard_atmosphere(
    elevation_ft: float, temperature_k: float, pressure_pa: float, pressure_psi: float, pressure_inhg: float
) -> None:
    assert float(kelvin(standard_temperature_f(elevation_ft))) == pytest.approx(temperature_k, abs=0.5e-3)
    found_psi = float(standard_pressure_psia(elevation_ft))
    assert found_psi == pytest.approx(pressure_psi, abs=0.5e-4)
    assert found_psi * PSI_PA == pytest.approx(pressure_pa, abs=0.05)
    assert found_psi * PSI_PA / INCH_MERCURY_PA == pytest.approx(pressure_inhg, abs=0.5e-3)


# The published table of the standard atmosphere in inches of mercury
@pytest.mark.parametrize(
    ("elevation_ft", "printed_inhg"),
    [(0, "29.921"), (1000, "28.86"), (2000, "27.82"), (5000, "24.90"), (8000, "22.22")],
)
def test_inches_of_mercury_are_those_of_the_published_table(elevation_ft: float, printed_inhg: str) -> None:
    found_inhg = float(standard_pressure_psia(elevation_ft)) * PSI_PA / INCH_MERCURY_PA
    assert f"{found_inhg:.{len(printed_inhg.partition('.')[2])}f}" == printed_inhg


def test_a_geometric_altitude_taken_as_geopotential_is_wrong_by_thirteen_pascal_at_ten_thousand_feet() -> None:
    geometric_m = 10_000 * 0.3048
    geopotential_ft = EARTH_RADIUS_M * geometric_m / (EARTH_RADIUS_M + geometric_m) / 0.3048
    wrong_by = (float(standard_pressure_psia(geopotential_ft)) - float(standard_pressure_psia(10_000))) * PSI_PA
    assert wrong_by == pytest.approx(13, abs=0.5)


def test_pressure_falls_with_elevation() -> None:
    pressures = standard_pressure_psia(list(range(-2000, 36001, 500)))
    assert (pressures[1:] < pressures[:-1]).all()


@pytest.mark.parametrize("elevation_ft", [-2001.0, 36001.0, float("nan")])
def test_elevation_outside_the_layer_is_refused(elevation_ft: float) -> None:
    for standard in (standard_pressure_psia, standard_temperature_f):
        with pytest.raises(CalculationError) as caught:
            standard(elevation_ft)
        assert [fault.field for fault in caught.value.faults] == ["elevation_ft"]
