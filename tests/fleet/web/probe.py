"""A small resource over the plumbing alone, so that its tests need no other subject."""

import time
from datetime import timedelta
from typing import Any

from django.urls import path
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request

from fleet.audit.actions import record_change
from fleet.audit.models import AuditEntry
from fleet.people.models import Person
from fleet.refusals import Clash
from fleet.web import problems
from fleet.web.etags import require_match
from fleet.web.idempotency import idempotent
from fleet.web.models import KeptAnswer
from fleet.web.permissions import MANAGE, READ, REPORT
from fleet.web.quantities import QuantityField, quantity
from fleet.web.schema import PAGE
from fleet.web.shapes import InputSerializer
from fleet.web.views import OperatorView


class NoteInput(InputSerializer):
    """What a probe takes."""

    extension = QuantityField("length", minimum=0)
    text = serializers.CharField(max_length=10)
    then = serializers.ChoiceField(["clash", "break", "be overtaken", "wait", "go on"], default="go on")


class Probe(OperatorView):
    """Writes one audit entry per POST; lists people."""

    needs = {"GET": READ, "POST": REPORT, "PATCH": MANAGE}

    @extend_schema(parameters=PAGE)
    def get(self, request: Request) -> Any:
        return self.page(
            Person.objects.of(self.operator),
            lambda person: {"name": person.name, "extension": quantity(4.5, "length", self.unit_system)},
            order=("role", "-name", "id"),
        )

    @idempotent
    def post(self, request: Request) -> Any:
        given = self.checked(NoteInput)
        record_change(
            actor=self.actor,
            action="note",
            subject_kind="probe",
            subject_id=self.actor.person_id,
            now=timezone.now(),
            after={"extension": given["extension"].as_read},
        )
        if given["then"] == "clash":
            raise Clash("there already")
        if given["then"] == "break":
            raise ZeroDivisionError("a fault of ours")
        if given["then"] == "be overtaken":
            KeptAnswer.objects.of(self.operator).update(claimed_until=timezone.now() + timedelta(hours=1))
        if given["then"] == "wait":
            time.sleep(0.3)
        count = AuditEntry.objects.of(self.operator).count()
        return self.answer({"count": count, "inside": given["extension"].internal}, 201)

    def patch(self, request: Request) -> Any:
        require_match(request, 3)
        return self.answer({"changed": True}, version=4)


class Forgetful(OperatorView):
    """Names no needs."""

    def get(self, request: Request) -> Any:
        return self.answer({})


urlpatterns = [path("api/v1/probe", Probe.as_view()), path("api/v1/forgetful", Forgetful.as_view())]
handler404 = problems.answer_not_found
handler500 = problems.answer_server_error
