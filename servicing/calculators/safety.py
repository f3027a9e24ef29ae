"""Cautions for steps of work, and the order in which a strut is serviced."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step, cautions_for
from calculations.servicing_stages import ServicingStage, advance, next_stage
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked

STAGES: Final = [stage.name.lower() for stage in ServicingStage]


class StepsInput(InputSerializer):
    """What is about to be done."""

    steps = serializers.ListField(
        child=serializers.ChoiceField([str(step) for step in Step]), min_length=1, max_length=len(Step)
    )


class SourcedCautionAnswer(serializers.Serializer[Any]):
    """One caution and where it comes from."""

    code = serializers.CharField(help_text="Stable, for clients that translate.")
    text = serializers.CharField()
    citation = serializers.CharField()


class SourcedCautionsAnswer(CalculatorAnswer):
    """Each caution once, the general one first."""

    sourced = SourcedCautionAnswer(many=True)


class StageInput(InputSerializer):
    """How far the servicing has come."""

    stage_done = serializers.ChoiceField(STAGES, required=False, help_text="Last stage done; left out at the start.")
    stage_claimed = serializers.ChoiceField(STAGES, required=False, help_text="Stage said to be done now.")


class StageAnswer(CalculatorAnswer):
    """What comes now."""

    next_stage = serializers.CharField(allow_null=True, help_text="Null after the last.")


def _cautions(values: Mapping[str, Any]) -> Worked:
    steps = tuple(Step(step) for step in values["steps"])
    found = cautions_for(steps)
    return Worked(
        {"sourced": [{"code": one.code, "text": one.text, "citation": one.source} for one in found]},
        sources=tuple(dict.fromkeys(one.source for one in found)),
        assumptions=("Cautions in our words; they replace no manual.",),
        steps=steps,
    )


def _stage(values: Mapping[str, Any]) -> Worked:
    done = ServicingStage[values["stage_done"].upper()] if "stage_done" in values else None
    if "stage_claimed" in values:
        done = advance(done, ServicingStage[values["stage_claimed"].upper()])
    return Worked(
        {"next_stage": next_stage(done)},
        sources=("US Army TM 1-1500-204-23-1, p. 9-5", "USAF Flying Safety, August 2002"),
        assumptions=("Full servicing, fluid included; the aircraft's own manual goes before it.",),
        steps=(Step.GAS_RELEASE, Step.FLUID, Step.VALVE, Step.GAS_CHARGE),
    )


CALCULATORS: Final = (
    Calculator(
        "safety/cautions",
        "find_cautions",
        "Cautions for steps of work",
        StepsInput,
        SourcedCautionsAnswer,
        _cautions,
        {"steps": ["hand_pump", "gas_charge"]},
    ),
    Calculator(
        "safety/next-stage",
        "find_next_stage",
        "What comes next in servicing a strut",
        StageInput,
        StageAnswer,
        _stage,
        {"stage_done": "fluid_level_set"},
        names={"stage": "stage_claimed"},
    ),
)
