"""Which cautions go with which work and which step of a top-up."""

from collections.abc import Iterable
from typing import Final

from calculations.cautions import Step, cautions_for
from fleet.equipment.models import EquipmentKind
from servicing.work.models import Work

STEPS_OF_WORK: Final = {
    Work.GAS_ADDED: (Step.GAS_CHARGE,),
    Work.GAS_RELEASED: (Step.GAS_RELEASE,),
    Work.FLUID_ADDED: (Step.GAS_RELEASE, Step.FLUID, Step.GAS_CHARGE),
    Work.FLUID_CHANGED: (Step.GAS_RELEASE, Step.FLUID, Step.GAS_CHARGE),
    Work.VALVE_CORE: (Step.GAS_RELEASE, Step.VALVE, Step.GAS_CHARGE),
    Work.SEALS: (Step.GAS_RELEASE, Step.JACKING, Step.NEW_SEALS, Step.FLUID, Step.GAS_CHARGE),
    Work.CLEANED: (Step.EXERCISE,),
    Work.OVERHAULED: (Step.GAS_RELEASE, Step.JACKING, Step.NEW_SEALS, Step.FLUID, Step.VALVE, Step.GAS_CHARGE),
    Work.TYRE_INFLATED: (Step.TYRE_INFLATION,),
    Work.TYRE_CHANGED: (Step.TYRE_REMOVAL, Step.TYRE_INFLATION),
    Work.TYRE_TURNED: (Step.TYRE_REMOVAL, Step.TYRE_INFLATION),
    Work.BEARING_SEEN: (Step.TYRE_REMOVAL,),
}
STEPS_OF_EQUIPMENT: Final = {
    EquipmentKind.HAND_PUMP: (Step.HAND_PUMP,),
    EquipmentKind.MULTIPLIER: (Step.MULTIPLIER,),
    EquipmentKind.CYLINDER: (Step.CYLINDER,),
    EquipmentKind.COMPRESSOR: (),
}


def cautions_for_work(works: Iterable[str]) -> list[str]:
    """Return the sentences that go with kinds of work, each once."""
    steps = [step for work in works for step in STEPS_OF_WORK[Work(work)]]
    return [caution.text for caution in cautions_for(steps)]


def cautions_for_steps(*steps: Step, equipment_kind: str | None = None) -> list[str]:
    """Return the sentences that go with steps of a top-up, and with the equipment where gas goes in."""
    with_equipment = STEPS_OF_EQUIPMENT[EquipmentKind(equipment_kind)] if equipment_kind else ()
    return [caution.text for caution in cautions_for([*steps, *with_equipment])]
