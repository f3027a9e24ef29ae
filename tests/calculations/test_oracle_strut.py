"""The fast code against a slow one: plain equations in mpmath, gas straight from the property library.

The oracle shares no code with the package: no tables, no split into terms, no analytical slopes. Its
uncertainty is differentiated numerically (central differences with one Richardson step).
"""

from collections.abc import Callable
from typing import Any

import mpmath as mp
import numpy as np
import pytest
from CoolProp import CoolProp

from calculations.gas import Gas, compressibility
from calculations.strut import (
    ReadingUncertainty,
    StrutFigures,
    StrutUncertainty,
    charge_mol,
    correct_extension,
    extension_in,
    pressure_at_psia,
    two_state_method,
)
from calculations.strut import TwoStateReading as Reading

PSI = mp.mpf("0.45359237") * mp.mpf("9.80665") / mp.mpf("0.0254") ** 2
INCH = mp.mpf("0.0254")
FLUIDS = {Gas.NITROGEN: "Nitrogen", Gas.AIR: "Air"}
RELATIVE = 1e-6

_states = {gas: CoolProp.AbstractState("HEOS", name) for gas, name in FLUIDS.items()}


def kelvin(temperature_f: Any) -> Any:
    return (mp.mpf(temperature_f) + mp.mpf("459.67")) / mp.mpf("1.8")


def density(pressure_psia: Any, temperature_k: Any, gas: Gas) -> Any:
    """Molar density [mol/m3]."""
    state = _states[gas]
    state.update(CoolProp.PT_INPUTS, float(pressure_psia * PSI), float(temperature_k))
    return mp.mpf(state.rhomolar())


def z_factor(pressure_psia: Any, temperature_k: Any, gas: Gas) -> Any:
    state = _states[gas]
    state.update(CoolProp.PT_INPUTS, float(pressure_psia * PSI), float(temperature_k))
    return mp.mpf(state.compressibility_factor())


def oracle_correction(given: dict[str, Any], gas: Gas) -> Any:
    area = mp.pi / 4 * mp.mpf(given["diameter"]) ** 2
    fluid = mp.mpf(given["fluid"])
    temperature, reference = kelvin(given["temperature"]), kelvin(given["reference_temperature"])
    quoted = kelvin(70)
    expansion = mp.mpf(given["expansion"])
    volume = area * (mp.mpf(given["extension"]) + given["column"]) - fluid * expansion * (temperature - quoted)
    pressure = given["atmosphere"] + mp.mpf(given["load"]) / area
    amount = density(pressure, temperature, gas) * volume  # in mol in3/m3: the volume unit drops out
    reference_pressure = given["reference_atmosphere"] + mp.mpf(given["reference_load"]) / area
    reference_volume = amount / density(reference_pressure, reference, gas)
    reference_volume += fluid * expansion * (reference - quoted)
    return reference_volume / area - given["column"]


def slope(function: Callable[[Any], Any], at: float) -> Any:
    step = mp.mpf(max(abs(at), 1e-3)) * mp.mpf("2e-3")

    def central(width: Any) -> Any:
        return (function(at + width) - function(at - width)) / (2 * width)

    return (4 * central(step / 2) - central(step)) / 3


def random_cases(count: int, seed: int) -> list[dict[str, float]]:
    rng = np.random.default_rng(seed)
    return [
        {
            "extension": rng.uniform(0.5, 8.0),
            "temperature": rng.uniform(-40.0, 120.0),
            "load": rng.uniform(150.0, 1600.0),
            "diameter": rng.uniform(1.5, 3.5),
            "column": rng.uniform(0.5, 5.0),
            "fluid": rng.uniform(5.0, 50.0),
            "expansion": rng.uniform(7e-4, 1e-3),
            "atmosphere": rng.uniform(10.0, 15.0),
            "reference_atmosphere": rng.uniform(10.0, 15.0),
            "reference_load": rng.uniform(150.0, 1600.0),
            "reference_temperature": rng.uniform(30.0, 90.0),
        }
        for _ in range(count)
    ]


def figures_of(case: dict[str, float], gas: Gas) -> StrutFigures:
    return StrutFigures(
        tube_diameter_in=case["diameter"],
        gas_column_in=case["column"],
        fluid_volume_in3=case["fluid"],
        full_extension_in=12.0,
        reference_load_lbf=case["reference_load"],
        reference_temperature_f=case["reference_temperature"],
        fluid_expansion_per_k=case["expansion"],
        gas=gas,
    )


@pytest.mark.parametrize("gas", list(FLUIDS))
def test_compressibility_over_the_whole_table(gas: Gas) -> None:
    rng = np.random.default_rng(11)
    temperature_f = rng.uniform(-63.6, 170.3, 400)
    pressure_psia = np.exp(rng.uniform(np.log(0.5), np.log(5076.0), 400))
    found = compressibility(pressure_psia, temperature_f, gas)
    for fast, pressure, temperature in zip(found, pressure_psia, temperature_f, strict=True):
        slow = z_factor(mp.mpf(pressure), kelvin(temperature), gas)
        assert abs(fast / slow - 1) < 1e-7


@pytest.mark.parametrize("gas", list(FLUIDS))
def test_corrected_extension_and_uncertainty(gas: Gas) -> None:
    strut_sd = {"diameter": 0.02, "column": 0.6, "fluid": 5.0, "expansion": 0.6e-4}
    reading_sd = {"extension": 0.06, "temperature": 4.0, "load": 12.0, "atmosphere": 0.15}
    for number, case in enumerate(random_cases(60, seed=5)):
        exercised = number % 2 == 0
        friction = 0.01 if exercised else 0.035
        found = correct_extension(
            case["extension"],
            case["temperature"],
            case["load"],
            figures_of(case, gas),
            atmosphere_psia=case["atmosphere"],
            reference_atmosphere_psia=case["reference_atmosphere"],
            exercised=exercised,
            figures_uncertainty=StrutUncertainty(*strut_sd.values()),
            reading_uncertainty=ReadingUncertainty(*reading_sd.values(), 0.01, 0.035),
        )
        slow = oracle_correction(case, gas)
        assert abs(float(found.corrected_in) / slow - 1) < RELATIVE

        variance = mp.mpf(0)
        for name, sd in {**strut_sd, **reading_sd}.items():

            def moved(value: Any, name: str = name, case: dict[str, float] = case) -> Any:
                return oracle_correction({**case, name: value}, gas)

            by_input = slope(moved, case[name])
            variance += (by_input * sd) ** 2
            if name == "load":
                variance += (by_input * friction * case["load"]) ** 2
        assert abs(float(found.uncertainty_in) / mp.sqrt(variance) - 1) < RELATIVE


@pytest.mark.parametrize("gas", list(FLUIDS))
def test_charge_and_extension_and_held_pressure(gas: Gas) -> None:
    for case in random_cases(100, seed=8):
        figures = figures_of(case, gas)
        area = mp.pi / 4 * mp.mpf(case["diameter"]) ** 2
        temperature = kelvin(case["temperature"])
        fluid_rise = mp.mpf(case["fluid"]) * mp.mpf(case["expansion"]) * (temperature - kelvin(70))
        pressure = case["atmosphere"] + mp.mpf(case["load"]) / area
        volume = (area * (mp.mpf(case["extension"]) + case["column"]) - fluid_rise) * INCH**3
        slow_charge = density(pressure, temperature, gas) * volume
        fast_charge = charge_mol(
            case["extension"], case["temperature"], case["load"], figures, atmosphere_psia=case["atmosphere"]
        )
        assert abs(float(fast_charge) / slow_charge - 1) < RELATIVE

        back = extension_in(
            float(slow_charge),
            case["temperature"],
            case["load"],
            figures,
            atmosphere_psia=case["atmosphere"],
        )
        assert abs(float(back.extension_in) / case["extension"] - 1) < RELATIVE

        short = 0.25 * case["extension"]
        held_volume = (area * (mp.mpf(short) + case["column"]) - fluid_rise) * INCH**3
        held = pressure_at_psia(fast_charge, short, case["temperature"], figures)
        assert abs(density(mp.mpf(float(held)), temperature, gas) * held_volume / slow_charge - 1) < RELATIVE


@pytest.mark.parametrize("gas", list(FLUIDS))
def test_two_state_method_finds_what_was_taken_out(gas: Gas) -> None:
    for case in random_cases(50, seed=13):
        figures = figures_of(case, gas)
        area = mp.pi / 4 * mp.mpf(case["diameter"]) ** 2
        missing = 3.0
        short = figures_of({**case, "column": case["column"] + missing / float(area)}, gas)
        charge = charge_mol(case["extension"], case["temperature"], case["load"], short)
        jacked = pressure_at_psia(charge, 12.0, 60.0, short)
        found = two_state_method(
            Reading(
                12.0,
                float(jacked) - 14.0,
                case["extension"],
                float(14.695948775513 + mp.mpf(case["load"]) / area) - 14.0,
                60.0,
                case["temperature"],
            ),
            figures,
            atmosphere_psia=14.0,
        )
        assert float(found.missing_fluid_in3) == pytest.approx(missing, rel=1e-5)
        assert float(found.charge_mol) == pytest.approx(float(charge), rel=RELATIVE)
