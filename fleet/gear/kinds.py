"""The two kinds of parts that are installed on legs, so that what holds for both is written once."""

import uuid
from dataclasses import dataclass
from typing import Any

from fleet.gear.models import Strut, StrutInstallation, Tyre, TyreInstallation
from fleet.operators.models import Operator
from fleet.refusals import Missing
from fleet.tenancy import OwnedQuerySet


@dataclass(frozen=True, slots=True)
class PartKind:
    """Struts or tyres."""

    noun: str  # also the name of the installation's column
    plural: str
    part: type[Strut] | type[Tyre]
    installation: type[StrutInstallation] | type[TyreInstallation]

    def parts(self, operator: Operator | uuid.UUID) -> OwnedQuerySet[Any]:
        """Return the operator's parts of this kind."""
        return self.part.objects.of(operator)

    def installations(self, operator: Operator | uuid.UUID) -> OwnedQuerySet[Any]:
        """Return when the operator's parts of this kind were where."""
        return self.installation.objects.of(operator)

    def part_of(self, operator: Operator | uuid.UUID, part_id: uuid.UUID) -> Any:
        """Return one part, or refuse."""
        part = self.parts(operator).filter(pk=part_id).first()
        if part is None:
            raise Missing(f"no such {self.noun}")
        return part


STRUT = PartKind("strut", "struts", Strut, StrutInstallation)
TYRE = PartKind("tyre", "tyres", Tyre, TyreInstallation)
