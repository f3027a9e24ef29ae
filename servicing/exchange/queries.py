"""Reading imports."""

import uuid
from typing import Any

from fleet.operators.models import Operator
from fleet.refusals import Missing
from fleet.tenancy import OwnedQuerySet
from servicing.exchange.models import Import


def imports_matching(operator: Operator, filters: dict[str, Any]) -> OwnedQuerySet[Import]:
    """Return the imports that the documented filters keep, without their files."""
    kept = {name: value for name, value in filters.items() if name in ("kind", "state")}
    return Import.objects.of(operator).filter(**kept).defer("content")


def import_of(operator: Operator, import_id: uuid.UUID) -> Import:
    """Return one import without its file, or refuse."""
    found = Import.objects.of(operator).filter(pk=import_id).defer("content").first()
    if found is None:
        raise Missing("no such import")
    return found
