"""Filters by thousands of ids, as one parameter: as many parameters would cost more than the query."""

import uuid
from collections.abc import Collection

from django.db import connection
from django.db.models import BooleanField, F, Func, Value


def among(column: str, ids: Collection[uuid.UUID]) -> Func:
    """Return the condition that a column (``strut_id``, ``pk``) holds one of the ids."""
    if connection.vendor == "postgresql":
        # Compared with an array, for then the server knows how many there are: of a join it guesses, and reads all.
        listed = "{" + ",".join([one.hex for one in ids]) + "}"
        template, joiner = "%(expressions)s::uuid[])", " = ANY("
    else:
        listed = "[" + ",".join([f'"{one.hex}"' for one in ids]) + "]"
        template, joiner = "%(expressions)s))", " IN (SELECT value FROM json_each("
    return Func(F(column), Value(listed), template=template, arg_joiner=joiner, output_field=BooleanField())
