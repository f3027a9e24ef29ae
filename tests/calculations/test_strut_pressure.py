"""A gauge on a strut at rest: what it tells of the load, and that it tells nothing of the charge."""

import numpy as np
import pytest

from calculations.errors import CalculationError
from calculations.strut import StrutFigures, extension_in, rest_pressure_psia
from calculations.strut_pressure import (
    AREA_SD,
    DISAGREEING,
    GAUGE_SD_PSI,
    PRESSURE_VERDICTS,
    PressureVerdict,
    check_pressure_at_rest,
)

STRUT_A_IN2 = 3.141593
"""Reference strut A of the project's own check values: bore 2.000 in, 800 lbf, 254.648 psig (computed there)."""


def verdict(pressure_psig: float, **values: float) -> PressureVerdict:
    known = {"extension_in": 3.25, "full_extension_in": 8.0, **values}
    found = check_pressure_at_rest(pressure_psig, 800.0, STRUT_A_IN2, **known)
    return PRESSURE_VERDICTS[int(found.verdict)]


def test_the_reference_strut_s_gauge_carries_its_load() -> None:
    found = check_pressure_at_rest(254.648, 800.0, STRUT_A_IN2, extension_in=3.25, full_extension_in=8.0)

    assert float(found.carried_lbf) == pytest.approx(800.0, abs=0.002)  # half of the gauge's last printed digit
    assert float(found.excess) == pytest.approx(0.0, abs=2e-6)
    assert verdict(254.648) is PressureVerdict.AGREES


@pytest.mark.parametrize("charge_mol", [0.05, 0.149419, 0.3])
def test_any_charge_gives_the_same_pressure_and_the_same_verdict(charge_mol: float) -> None:
    strut = StrutFigures(2.0, 1.5 / STRUT_A_IN2, 30.0, 40.0, 800.0, 59.0, figures_temperature_f=59.0)
    length = float(extension_in(charge_mol, 59.0, 800.0, strut).extension_in)
    gauge = float(rest_pressure_psia(800.0, strut)) - 14.696

    assert verdict(gauge, extension_in=length, full_extension_in=40.0) is PressureVerdict.AGREES


@pytest.mark.parametrize(
    ("share", "expected"),
    [
        (1.00, PressureVerdict.AGREES),
        (1.05, PressureVerdict.AGREES),  # what sound seals hold
        (0.95, PressureVerdict.AGREES),
        (1.11, PressureVerdict.UNCLEAR),  # beyond a tenth, but not surely
        (0.89, PressureVerdict.UNCLEAR),
        (1.15, PressureVerdict.MORE_THAN_LOAD),
        (0.85, PressureVerdict.LESS_THAN_LOAD),
        (0.00, PressureVerdict.LESS_THAN_LOAD),
    ],
)
def test_a_tenth_of_the_load_is_told_once_it_is_sure(share: float, expected: PressureVerdict) -> None:
    """With 4 psi and 2 % of area one standard deviation is 2.5 % of the load, so 0.9 sure is 3.2 % beyond a tenth."""
    assert verdict(share * 254.648) is expected


def test_fully_out_and_pushing_more_than_its_load_is_on_the_stop() -> None:
    at_full = {"full_extension_in": 8.0}

    assert verdict(330.0, extension_in=8.0, **at_full) is PressureVerdict.TOPPED_OUT
    assert verdict(330.0, extension_in=7.95, **at_full) is PressureVerdict.TOPPED_OUT  # within what a ruler shows
    assert verdict(330.0, extension_in=7.9, **at_full) is PressureVerdict.MORE_THAN_LOAD
    assert verdict(254.648, extension_in=8.0, **at_full) is PressureVerdict.AGREES
    assert verdict(200.0, extension_in=8.0, **at_full) is PressureVerdict.LESS_THAN_LOAD
    assert verdict(330.0, extension_in=8.0, full_extension_in=np.inf) is PressureVerdict.MORE_THAN_LOAD


def test_fully_in_and_pushing_less_than_its_load_is_on_the_lower_stop() -> None:
    assert verdict(150.0, extension_in=0.0) is PressureVerdict.BOTTOMED
    assert verdict(150.0, extension_in=0.1) is PressureVerdict.LESS_THAN_LOAD
    assert verdict(330.0, extension_in=0.0) is PressureVerdict.MORE_THAN_LOAD  # held down there


def test_sound_struts_are_left_alone_and_bound_ones_found() -> None:
    """Friction of 1.5 to 6 % of the load is sound, as in the project's own simulator; a bound strut holds a fifth."""
    rng, count, load_sd = np.random.default_rng(3), 20_000, 8.0

    def share_told(held: np.ndarray | float) -> float:
        true = (800.0 + rng.normal(0.0, load_sd, count)) * (1.0 + held)
        area = STRUT_A_IN2 * (1.0 + rng.normal(0.0, AREA_SD, count))
        found = check_pressure_at_rest(
            true / area + rng.normal(0.0, GAUGE_SD_PSI, count),
            800.0,
            STRUT_A_IN2,
            extension_in=4.0,
            full_extension_in=8.0,
            load_sd_lbf=load_sd,
        )
        return float(np.isin(found.verdict, [PRESSURE_VERDICTS.index(one) for one in DISAGREEING]).mean())

    assert share_told(rng.uniform(0.015, 0.06, count) * rng.choice([-1.0, 1.0], count)) < 0.002
    assert share_told(0.20) > 0.95


def test_a_load_that_nobody_knows_well_leaves_it_open() -> None:
    assert verdict(254.648, load_sd_lbf=120.0) is PressureVerdict.UNCLEAR
    assert verdict(254.648, area_sd=0.3) is PressureVerdict.UNCLEAR
    assert verdict(254.648, gauge_sd_psi=40.0) is PressureVerdict.UNCLEAR
    assert verdict(2.5 * 254.648, load_sd_lbf=120.0) is PressureVerdict.MORE_THAN_LOAD


def test_exact_knowledge_is_allowed() -> None:
    exact = {"gauge_sd_psi": 0.0, "area_sd": 0.0}

    assert verdict(1.09 * 254.648, **exact) is PressureVerdict.AGREES
    assert verdict(1.11 * 254.648, **exact) is PressureVerdict.MORE_THAN_LOAD


def test_the_uncertainty_is_that_of_many_draws() -> None:
    rng = np.random.default_rng(5)
    pressure, load, load_sd = 290.0, 800.0, 20.0
    draws = (
        rng.normal(pressure, GAUGE_SD_PSI, 200_000)
        * STRUT_A_IN2
        * rng.normal(1.0, AREA_SD, 200_000)
        / rng.normal(load, load_sd, 200_000)
    )

    found = check_pressure_at_rest(
        pressure, load, STRUT_A_IN2, extension_in=3.0, full_extension_in=8.0, load_sd_lbf=load_sd
    )

    assert float(found.excess) == pytest.approx(draws.mean() - 1.0, abs=0.002)
    assert float(found.excess_sd) == pytest.approx(draws.std(), rel=0.02)


def test_what_cannot_be_is_refused_field_by_field() -> None:
    with pytest.raises(CalculationError) as refused:
        check_pressure_at_rest(
            -1.0,
            0.0,
            -2.0,
            extension_in=3.0,
            full_extension_in=8.0,
            gauge_sd_psi=-1.0,
            load_sd_lbf=-1.0,
            area_sd=-1.0,
        )

    assert {fault.field for fault in refused.value.faults} == {
        "pressure_psig", "load_lbf", "area_in2", "gauge_sd_psi", "load_sd_lbf", "area_sd",
    }  # fmt: skip
