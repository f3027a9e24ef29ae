"""Every model of servicing, gathered where Django looks for them."""

from servicing.alerts.models import Alert, AlertEvent
from servicing.drift.models import FindingChange, FleetNoise, StrutStanding, TyreStanding
from servicing.exchange.models import Import
from servicing.news.models import PartNews
from servicing.outbox.models import OutgoingMail
from servicing.readings.models import StrutReading, TyreReading
from servicing.records.models import RecordEntry
from servicing.reinspection.models import PutOff, Reinspection
from servicing.usage.models import Usage
from servicing.work.models import Servicing, TopUp, TopUpStep

__all__ = [
    "Alert",
    "AlertEvent",
    "FindingChange",
    "FleetNoise",
    "Import",
    "OutgoingMail",
    "PartNews",
    "PutOff",
    "RecordEntry",
    "Reinspection",
    "Servicing",
    "StrutReading",
    "StrutStanding",
    "TopUp",
    "TopUpStep",
    "TyreReading",
    "TyreStanding",
    "Usage",
]
