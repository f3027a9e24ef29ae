"""Faults of rows that came in together."""

from collections.abc import Iterable

from fleet.refusals import FieldFault

RowFault = tuple[int, FieldFault]


def placed(faults: Iterable[RowFault], list_name: str | None) -> list[FieldFault]:
    """Return faults as their caller knows the fields: ``<list_name>.<number>.<field>``, or the field alone."""
    return [
        FieldFault(f"{list_name}.{number}.{fault.field}" if list_name else fault.field, fault.code, fault.message)
        for number, fault in faults
    ]
