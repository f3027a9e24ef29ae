"""Files that came in, so that progress shows and the same file twice changes nothing."""

from django.db import models

from fleet.tenancy import Owned


class ImportKind(models.TextChoices):
    """What the rows of a file are."""

    READINGS = "readings", "readings"
    TYRE_READINGS = "tyre-readings", "tyre readings"
    SERVICINGS = "servicings", "servicings"
    USAGE = "usage", "usage"
    TYPE_SHEETS = "type-sheets", "type sheets, aircraft and legs"


class ImportState(models.TextChoices):
    """How far an import is."""

    WAITING = "waiting", "waiting"
    RUNNING = "running", "running"
    DONE = "done", "done"
    REFUSED = "refused", "refused"
    FAILED = "failed", "failed: the service could not read it"


class Import(Owned):
    """One uploaded file and what became of its rows."""

    kind = models.CharField(max_length=16, choices=ImportKind)
    file_name = models.CharField(max_length=200, blank=True)
    digest = models.CharField(max_length=64)
    content = models.BinaryField(null=True)
    dry_run = models.BooleanField(default=False)
    keep_good_rows = models.BooleanField(default=False)
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, null=True, related_name="+")
    state = models.CharField(max_length=8, choices=ImportState, default=ImportState.WAITING)
    created_at = models.DateTimeField()
    attempts = models.PositiveSmallIntegerField(default=0)
    claimed_until = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    rows_total = models.PositiveIntegerField(default=0)
    rows_checked = models.PositiveIntegerField(default=0)
    rows_saved = models.PositiveIntegerField(default=0)
    rows_known = models.PositiveIntegerField(default=0)
    faults_total = models.PositiveIntegerField(default=0)
    faults = models.JSONField(default=list)  # the first of them: {"row", "field", "code", "message"}
    notes = models.JSONField(default=list)  # what was taken for granted, in words

    class Meta:
        db_table = "servicing_import"
        indexes = [models.Index(fields=["operator", "-created_at", "-id"], name="import_recent")]
