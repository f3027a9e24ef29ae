"""Every model of the fleet, gathered where Django looks for them."""

from fleet.aircraft.models import Aircraft, Leg, TypeSheet
from fleet.audit.models import AuditEntry
from fleet.equipment.models import CylinderPressure, Equipment
from fleet.gear.models import Strut, StrutInstallation, Tyre, TyreInstallation
from fleet.operators.models import Operator
from fleet.people.models import Person, Token
from fleet.web.models import KeptAnswer

__all__ = [
    "Aircraft",
    "AuditEntry",
    "CylinderPressure",
    "Equipment",
    "KeptAnswer",
    "Leg",
    "Operator",
    "Person",
    "Strut",
    "StrutInstallation",
    "Token",
    "TypeSheet",
    "Tyre",
    "TyreInstallation",
]
