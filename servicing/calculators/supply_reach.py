"""Whether a supply reaches a strut's pressure at all; compressor and hose."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import numpy as np
from rest_framework import serializers

from calculations.cautions import Step
from calculations.strut import rest_pressure_psia
from calculations.supply.demand import RestingStrut, compressor_highest_psia, reach
from calculations.supply.hose import extension_lost_in
from fleet.web.quantities import QuantityField
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import atmosphere_at
from servicing.calculators.strut_figures import EXAMPLE, KnownStrut, strut_from
from servicing.calculators.strut_shapes import AT_REST, LoadedInput, strut_worked

AIR_NAMES: Final = {"atmosphere_psia": "elevation", "intake_psia": "elevation", "pressure_psia": "load"}


class ReachAnswer(serializers.Serializer[Any]):
    """Whether the supply gets to the strut's pressure at all."""

    reachable = serializers.BooleanField()
    highest = QuantityField("absolute_pressure", allow_null=True, help_text="Null: no limit but the arm's.")
    needed = QuantityField("absolute_pressure")
    margin = QuantityField("pressure_difference", allow_null=True)


class CompressorInput(LoadedInput):
    """A compressor or regulator."""

    setting = QuantityField("gauge_pressure", help_text="Of its switch or regulator.")


class CompressorAnswer(CalculatorAnswer):
    """Can it reach the strut's pressure?"""

    reach = ReachAnswer()


class HoseInput(LoadedInput):
    """A hose that is opened to a resting strut."""

    hose_volume = QuantityField("volume", help_text="With fittings, up to the closed end.")
    hose_pressure = QuantityField(
        "gauge_pressure", required=False, help_text="In it before; 0 unless it was pressed up first."
    )


class HoseAnswer(CalculatorAnswer):
    """Extension lost each time; below 0 where the hose holds more than the strut."""

    extension_lost = QuantityField("length")


def resting(strut: KnownStrut, values: Mapping[str, Any]) -> RestingStrut:
    """Return the strut as a supply sees it, or raise with everything that is wrong with it."""
    load = values["load"]
    pressure, _ = strut.settle(
        lambda: rest_pressure_psia(load, strut.figures, atmosphere_psia=atmosphere_at(values)),
        lambda: strut.bear(load),
    )
    return RestingStrut(pressure, strut.figures.area_in2, values["temperature"], strut.figures.gas)


def reach_of(highest_psia: Any, strut: RestingStrut) -> dict[str, Any]:
    """Return whether a supply reaches the strut's pressure; an endless one does."""
    endless = bool(np.isinf(highest_psia))
    found = reach(strut.pressure_psia if endless else highest_psia, strut)
    return {
        "reachable": endless or found.reachable,
        "highest": None if endless else found.highest_psia,
        "needed": found.needed_psia,
        "margin": None if endless else found.margin_psi,
    }


def _compressor(values: Mapping[str, Any]) -> Worked:
    strut = strut_from(values["strut"])
    needs, highest = strut.settle(
        lambda: resting(strut, values),
        lambda: compressor_highest_psia(values["setting"], atmosphere_at(values)),
    )
    return strut_worked(strut, {"reach": reach_of(highest, needs)}, AT_REST, steps=(Step.GAS_CHARGE, Step.CYLINDER))


def _hose(values: Mapping[str, Any]) -> Worked:
    strut = strut_from(values["strut"])

    def lost() -> Any:
        before = atmosphere_at(values) + values.get("hose_pressure", 0.0)
        return extension_lost_in(values["hose_volume"], resting(strut, values), before)

    (found,) = strut.settle(lost)
    return strut_worked(strut, {"extension_lost": found}, AT_REST, "At one temperature.", steps=(Step.GAS_CHARGE,))


_STRUT: Final = {"strut": EXAMPLE, "temperature": "59 degF", "load": "800 lbf"}
CALCULATORS: Final = (
    Calculator(
        "supply/compressor",
        "find_compressor_reach",
        "Whether a compressor or regulator reaches a strut's pressure",
        CompressorInput,
        CompressorAnswer,
        _compressor,
        {**_STRUT, "setting": "120 psi"},
        names=AIR_NAMES,
    ),
    Calculator(
        "supply/hose",
        "find_hose_loss",
        "Extension lost each time a hose is opened to a strut",
        HoseInput,
        HoseAnswer,
        _hose,
        {**_STRUT, "hose_volume": "2 in3"},
        names={**AIR_NAMES, "hose_in3": "hose_volume", "hose_psia": "hose_pressure"},
    ),
)
