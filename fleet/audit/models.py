"""Who did what, when, and how it stood before and after; the database refuses to change it."""

from django.db import models

from fleet.tenancy import Owned


class AuditEntry(Owned):
    """One change by one person."""

    at = models.DateTimeField()
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, null=True, related_name="+")
    token = models.ForeignKey("fleet.Token", on_delete=models.PROTECT, null=True, related_name="+")
    action = models.CharField(max_length=60)
    subject_kind = models.CharField(max_length=40)
    subject_id = models.UUIDField()
    before = models.JSONField(null=True)
    after = models.JSONField(null=True)

    class Meta:
        db_table = "fleet_audit_entry"
        indexes = [
            models.Index(fields=["operator", "-at", "-id"], name="fleet_audit_recent"),
            models.Index(fields=["subject_id"], name="fleet_audit_subject"),
        ]
