"""Inputs are checked all at once and refused with their field, code and value."""

import pytest

from calculations.checks import Checks
from calculations.errors import CalculationError


def test_good_values_pass_through_as_float_arrays():
    checks = Checks()
    assert checks.finite("a", [1, 2]).tolist() == [1.0, 2.0]
    assert checks.between("b", 3, 3, 4) == 3.0
    checks.settle()


def test_every_fault_is_told_with_its_value():
    checks = Checks()
    checks.finite("text", "4.5 in")
    checks.finite("nothing", None)
    checks.finite("infinite", [1.0, float("inf")])
    checks.positive("zero", [2.0, 0.0])
    checks.not_negative("negative", -0.5)
    checks.between("outside", 5, 0, 4)
    checks.require(False, "together", "do_not_fit", "must fit")
    with pytest.raises(CalculationError) as error:
        checks.settle()
    told = {fault.field: (fault.code, fault.message) for fault in error.value.faults}
    assert told == {
        "text": ("not_a_number", "must be a number, is '4.5 in'"),
        "nothing": ("not_a_number", "must be a finite number, is nan"),
        "infinite": ("not_a_number", "must be a finite number, is inf"),
        "zero": ("not_positive", "must be above 0, is 0"),
        "negative": ("negative", "must be 0 or more, is -0.5"),
        "outside": ("out_of_range", "must be from 0 to 4, is 5"),
        "together": ("do_not_fit", "must fit"),
    }


def test_each_faulty_value_of_a_series_is_told_with_its_place():
    checks = Checks()
    checks.positive("row", [1.0, 0.0, -2.0])
    checks.positive("column", [[1.0], [-3.0]])
    checks.positive("grid", [[1.0, -4.0], [-5.0, 1.0]])
    checks.positive("single", -6.0)
    checks.require([True, False], "tied", "do_not_fit", "must fit")
    with pytest.raises(CalculationError) as error:
        checks.settle()
    assert [(fault.field, fault.place, fault.message[-2:]) for fault in error.value.faults] == [
        ("row", 1, " 0"),
        ("row", 2, "-2"),
        ("column", 1, "-3"),
        ("grid", None, "-4"),
        ("single", None, "-6"),
        ("tied", 1, "it"),
    ]
