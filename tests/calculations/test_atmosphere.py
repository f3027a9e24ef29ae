"""U.S. Standard Atmosphere, NOAA/NASA/USAF, 1976."""

import pytest

from calculations.atmosphere import standard_pressure_psia
from calculations.constants import PSI_PA
from calculations.errors import CalculationError

INCH_MERCURY_PA = 3386.389  # conventional inch of mercury, NIST SP 811 B.8


@pytest.mark.parametrize(
    ("elevation_ft", "pressure_pa", "pressure_psi", "pressure_inhg"),
    [  # p = 101325 (1 - 0.0065 H / 288.15)^5.25588; the inHg column is the printed table's
        (0, 101325.0, 14.6959, 29.921),
        (1000, 97716.6, 14.1726, 28.856),
        (2000, 94212.9, 13.6644, 27.821),
        (3000, 90811.7, 13.1711, 26.817),
        (5000, 84307.3, 12.2277, 24.896),
        (8000, 75262.4, 10.9159, 22.225),
        (10000, 69681.6, 10.1065, 20.577),
    ],
)
def test_pressure_is_that_of_the_standard_atmosphere(
    elevation_ft: float, pressure_pa: float, pressure_psi: float, pressure_inhg: float
) -> None:
    found_psi = float(standard_pressure_psia(elevation_ft))
    assert found_psi == pytest.approx(pressure_psi, abs=0.5e-4)
    assert found_psi * PSI_PA == pytest.approx(pressure_pa, abs=0.05)
    assert found_psi * PSI_PA / INCH_MERCURY_PA == pytest.approx(pressure_inhg, abs=0.5e-3)


def test_pressure_falls_with_elevation() -> None:
    pressures = standard_pressure_psia(list(range(-2000, 36001, 500)))
    assert (pressures[1:] < pressures[:-1]).all()


@pytest.mark.parametrize("elevation_ft", [-2001.0, 36001.0, float("nan")])
def test_elevation_outside_the_layer_is_refused(elevation_ft: float) -> None:
    with pytest.raises(CalculationError) as caught:
        standard_pressure_psia(elevation_ft)
    assert [fault.field for fault in caught.value.faults] == ["elevation_ft"]
