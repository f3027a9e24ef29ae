"""People and their tokens over HTTP."""

import uuid

from django.urls import path
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.people.actions import add_person, change_person
from fleet.people.models import Person, Role, Scope
from fleet.people.queries import people_of, person_of, tokens_of
from fleet.people.shapes import (
    CallerAnswer,
    IssuedTokenAnswer,
    PeopleFilters,
    PersonAnswer,
    PersonChange,
    PersonInput,
    TokenAnswer,
    TokenInput,
    person_answer,
    token_answer,
)
from fleet.people.token_actions import issue_token, revoke_token
from fleet.web.etags import require_match
from fleet.web.idempotency import idempotent
from fleet.web.permissions import MANAGE, READ
from fleet.web.schema import PAGE, page_of
from fleet.web.views import OperatorView

SEE_TOKENS = (Role.COORDINATOR, Scope.READ)


class CallerView(OperatorView):
    """The caller."""

    needs = {"GET": READ}

    @extend_schema(operation_id="get_caller", summary="Who the token speaks for", responses=CallerAnswer)
    def get(self, request: Request) -> Response:
        """Return the person, the operator and what the token may do."""
        token = self.token
        return self.answer(
            {
                "person": person_answer(token.person, self.actor),
                "operator": str(self.operator.pk),
                "operator_name": self.operator.name,
                "scopes": token.scopes,
                "token_expires_at": token.expires_at,
            }
        )


class PeopleView(OperatorView):
    """The operator's people."""

    needs = {"GET": READ, "POST": MANAGE}

    @extend_schema(
        operation_id="list_people",
        summary="The operator's people, by name",
        parameters=[PeopleFilters, *PAGE],
        responses=page_of(PersonAnswer),
    )
    def get(self, request: Request) -> Response:
        """List the people. Address and certificate are shown to coordinators and to the person alone."""
        rows = people_of(self.operator, **self.filters(PeopleFilters))
        return self.page(rows, lambda person: person_answer(person, self.actor), order=("name", "id"))

    @extend_schema(
        operation_id="add_person",
        summary="Take someone on",
        request=PersonInput,
        responses={201: PersonAnswer, 200: PersonAnswer},
        examples=[
            OpenApiExample(
                "a mechanic",
                {"name": "Ada Example", "email": "ada@club.example", "role": "mechanic"},
                request_only=True,
            )
        ],
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Add a person; a token is issued separately. The same id and values again: 200, nothing added."""
        values = self.checked(PersonInput)
        person_id = values.pop("id", None)
        person, new = add_person(actor=self.actor, now=self.now, values=values, person_id=person_id)
        return self.answer(person_answer(person, self.actor), 201 if new else 200, version=person.version)


class PersonView(OperatorView):
    """One person."""

    needs = {"GET": READ, "PATCH": MANAGE}

    @extend_schema(operation_id="get_person", summary="One person", responses=PersonAnswer)
    def get(self, request: Request, person_id: uuid.UUID) -> Response:
        """Return a person."""
        return self._answer(person_of(self.operator, person_id))

    @extend_schema(
        operation_id="change_person",
        summary="Change a person, or let them go",
        request=PersonChange(partial=True),
        responses=PersonAnswer,
        examples=[OpenApiExample("leaves", {"active": False}, request_only=True)],
    )
    def patch(self, request: Request, person_id: uuid.UUID) -> Response:
        """Change what is named. With `active: false` every token of the person ends at once."""
        person = person_of(self.operator, person_id)
        require_match(request, person.version)
        changes = self.checked_part(PersonChange)
        return self._answer(
            change_person(
                actor=self.actor, now=self.now, person_id=person_id, version=person.version, changes=changes
            )
        )

    def _answer(self, person: Person) -> Response:
        return self.answer(person_answer(person, self.actor), version=person.version)


class TokensView(OperatorView):
    """A person's tokens."""

    needs = {"GET": SEE_TOKENS, "POST": MANAGE}

    @extend_schema(
        operation_id="list_tokens",
        summary="A person's tokens, newest first",
        parameters=PAGE,
        responses=page_of(TokenAnswer),
    )
    def get(self, request: Request, person_id: uuid.UUID) -> Response:
        """List the tokens, ended ones too; never their secrets."""
        person_of(self.operator, person_id)
        return self.page(tokens_of(self.operator, person_id), token_answer, order=("-created_at", "-id"))

    @extend_schema(
        operation_id="issue_token",
        summary="Issue a token",
        request=TokenInput,
        responses={201: IssuedTokenAnswer},
        examples=[
            OpenApiExample(
                "a tablet that takes readings",
                {"label": "hangar tablet", "scopes": ["read", "report"], "expires_at": "2027-03-01T00:00:00Z"},
                request_only=True,
            )
        ],
    )
    def post(self, request: Request, person_id: uuid.UUID) -> Response:
        """Issue a token. The secret is in this answer and nowhere else; hence no Idempotency-Key here."""
        issued = issue_token(actor=self.actor, now=self.now, person_id=person_id, **self.checked(TokenInput))
        return self.answer({**token_answer(issued.token), "secret": issued.secret}, 201)


class TokenRevocationView(OperatorView):
    """The end of a token."""

    needs = {"POST": MANAGE}

    @extend_schema(operation_id="revoke_token", summary="End a token at once", request=None, responses=TokenAnswer)
    def post(self, request: Request, token_id: uuid.UUID) -> Response:
        """Revoke a token; doing it again changes nothing."""
        return self.answer(token_answer(revoke_token(actor=self.actor, now=self.now, token_id=token_id)))


urlpatterns = [
    path("caller", CallerView.as_view()),
    path("people", PeopleView.as_view()),
    path("people/<uuid:person_id>", PersonView.as_view()),
    path("people/<uuid:person_id>/tokens", TokensView.as_view()),
    path("tokens/<uuid:token_id>/revocation", TokenRevocationView.as_view()),
]
