"""Marks and outlets of cylinders: 49 CFR and the Compressed Gas Association."""

import pytest
from numpy.testing import assert_allclose

from calculations.constants import PSI_PA, STANDARD_ATMOSPHERE_PSI
from calculations.errors import CalculationError
from calculations.supply.cylinder_marking import Outlet, filling_pressure_psig, outlet_for


def test_the_plus_mark_allows_ten_percent_more():
    # 49 CFR 173.302a(b), title read in a quotation, 10 % from memory, source not seen. The trade fills its largest
    # cylinder of 2400 psi service pressure to 2640 psi, from memory too: the same 10 %.
    filled = filling_pressure_psig([2015, 2015, 2400, 2400], [False, True, False, True])
    assert_allclose(filled, [2015, 2216.5, 2400, 2640], rtol=1e-12)


@pytest.mark.parametrize(
    ("pressure_psig", "outlet"),
    # CGA V-1, from memory, source not seen: 580 to 3000 psi, 680 from 3001 to 5500 psi
    [
        (3000, Outlet.CGA_580),
        (3001, Outlet.CGA_680),
        (5500, Outlet.CGA_680),
        (200e5 / PSI_PA - STANDARD_ATMOSPHERE_PSI, Outlet.CGA_580),
        (300e5 / PSI_PA - STANDARD_ATMOSPHERE_PSI, Outlet.CGA_680),
    ],
)
def test_the_outlet_follows_the_filling_pressure(pressure_psig, outlet):
    assert outlet_for(pressure_psig) is outlet


def test_the_least_service_pressure_is_that_of_the_specification():
    # 49 CFR 178.37, read: 150 psig or more
    assert filling_pressure_psig(150, plus_mark=False) == 150


@pytest.mark.parametrize(
    ("call", "fault"),
    [
        (lambda: filling_pressure_psig([150, 149.9], plus_mark=False), ("service_psig", "out_of_range")),
        (lambda: outlet_for(0), ("filling_psig", "not_positive")),
        (lambda: outlet_for(5501), ("filling_psig", "no_outlet")),
    ],
)
def test_pressures_that_no_such_cylinder_has_are_refused(call, fault):
    with pytest.raises(CalculationError) as error:
        call()
    assert [(one.field, one.code) for one in error.value.faults] == [fault]
