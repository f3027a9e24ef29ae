"""Whether this process can work, for whoever supervises it; no token needed, nothing told."""

from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, JsonResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe


@never_cache
@require_safe
def healthz(request: HttpRequest) -> JsonResponse:
    """Say whether the store answers."""
    return _answer({"database": _database_answers()})


@never_cache
@require_safe
def readyz(request: HttpRequest) -> JsonResponse:
    """Say whether the store answers and every migration has been applied."""
    database = _database_answers()
    return _answer({"database": database, "migrations": database and _migrations_applied()})


def store_is_prepared() -> bool:
    """Say whether the store answers and every migration has been applied."""
    return _database_answers() and _migrations_applied()


def _answer(checks: dict[str, bool]) -> JsonResponse:
    return JsonResponse(checks, status=200 if all(checks.values()) else 503)


def _database_answers() -> bool:
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return False
    return True


def _migrations_applied() -> bool:
    executor = MigrationExecutor(connection)
    return not executor.migration_plan(executor.loader.graph.leaf_nodes())
