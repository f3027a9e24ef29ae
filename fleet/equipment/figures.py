"""Which figures each kind of equipment has, and which of them are needed to reckon with it."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from fleet.equipment.models import EquipmentKind
from fleet.refusals import FieldFault


@dataclass(frozen=True, slots=True)
class FiguresOfKind:
    """Columns that a kind must have, and those that it may have besides."""

    needed: frozenset[str]
    possible: frozenset[str]


def _figures(needed: str, possible: str = "") -> FiguresOfKind:
    return FiguresOfKind(frozenset(needed.split()), frozenset(needed.split()) | frozenset(possible.split()))


FIGURES: Final[Mapping[str, FiguresOfKind]] = MappingProxyType(
    {
        EquipmentKind.HAND_PUMP: _figures("", "stroke_volume_in3 clearance_fraction stages hose_volume_in3"),
        EquipmentKind.MULTIPLIER: _figures("area_ratio drive_pressure_psig", "stroke_volume_in3 hose_volume_in3"),
        EquipmentKind.CYLINDER: _figures("water_volume_in3", "hose_volume_in3"),
        EquipmentKind.COMPRESSOR: _figures("drive_pressure_psig", "hose_volume_in3"),
        EquipmentKind.GAUGE: _figures("calibration_due", "calibrated_on gauge_error_psi"),
    }
)
ALL_FIGURES: Final = frozenset().union(*(kind.possible for kind in FIGURES.values()))


def field_name(column: str) -> str:
    """Return a figure's name as requests and answers spell it: the unit stays with the value.

    >>> field_name("stroke_volume_in3"), field_name("stages")
    ('stroke_volume', 'stages')
    """
    for suffix in ("_in3", "_psig", "_psi"):
        column = column.removesuffix(suffix)
    return column


def faults_of_figures(kind: str, figures: Mapping[str, object]) -> list[FieldFault]:
    """Return what is missing for the kind, and what does not belong to it."""
    rule = FIGURES[kind]
    given = {name for name in ALL_FIGURES if figures.get(name) is not None}
    missing = [
        FieldFault(field_name(name), "required_for_kind", f"a {kind} needs it")
        for name in sorted(rule.needed - given)
    ]
    foreign = [
        FieldFault(field_name(name), "not_of_kind", f"a {kind} has no such figure")
        for name in sorted(given - rule.possible)
    ]
    return missing + foreign
