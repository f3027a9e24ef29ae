"""Answers kept so that a repeated request gets the first answer again."""

from django.db import models

from fleet.tenancy import Owned


class KeptAnswer(Owned):
    """One Idempotency-Key of one token: claimed while running, kept after, until it expires."""

    token = models.ForeignKey("fleet.Token", on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=255)
    method = models.CharField(max_length=8)
    path = models.CharField(max_length=500)
    body_digest = models.CharField(max_length=64)
    claimed_until = models.DateTimeField()
    expires_at = models.DateTimeField(db_index=True)
    status = models.PositiveSmallIntegerField(null=True)
    headers = models.JSONField(default=dict)
    body = models.BinaryField(null=True)

    class Meta:
        db_table = "fleet_kept_answer"
        constraints = [models.UniqueConstraint(fields=["token", "key"], name="fleet_kept_answer_once")]
