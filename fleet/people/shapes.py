"""How people and tokens look in requests and answers."""

from typing import Any

from rest_framework import serializers

from fleet.people.actor import Actor
from fleet.people.models import Person, Role, Scope, Token
from fleet.web.shapes import InputSerializer, MomentField


class PersonChange(InputSerializer):
    """What of a person may be changed."""

    name = serializers.CharField(max_length=120)
    email = serializers.EmailField(allow_blank=True, default="")
    role = serializers.ChoiceField(Role.choices)
    certificate_kind = serializers.CharField(max_length=40, allow_blank=True, default="")
    certificate_number = serializers.CharField(max_length=40, allow_blank=True, default="")
    wants_mail = serializers.BooleanField(default=True)
    active = serializers.BooleanField(default=True)


class PersonInput(PersonChange):
    """A new person."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the client, or left to the service.")


class PersonAnswer(serializers.Serializer[Any]):
    """A person; address and certificate are shown to coordinators and to the person alone."""

    id = serializers.UUIDField()
    name = serializers.CharField()
    email = serializers.EmailField(allow_null=True, allow_blank=True)
    role = serializers.ChoiceField(Role.choices)
    certificate_kind = serializers.CharField(allow_null=True, allow_blank=True)
    certificate_number = serializers.CharField(allow_null=True, allow_blank=True)
    wants_mail = serializers.BooleanField()
    active = serializers.BooleanField()
    version = serializers.IntegerField()


class PeopleFilters(serializers.Serializer[Any]):
    """Which people a list keeps."""

    role = serializers.ChoiceField(Role.choices, required=False)
    active = serializers.BooleanField(required=False, allow_null=True, default=None)


class TokenInput(InputSerializer):
    """A new token."""

    label = serializers.CharField(  # type: ignore[assignment]  # the field of a shape, not its own label
        max_length=80, help_text="Where it is used, such as `hangar tablet`."
    )
    scopes = serializers.ListField(
        child=serializers.ChoiceField(Scope.choices), allow_empty=False, max_length=len(Scope)
    )
    expires_at = MomentField(help_text="At most 366 days ahead.")


class TokenAnswer(serializers.Serializer[Any]):
    """A token, without its secret."""

    id = serializers.UUIDField()
    person = serializers.UUIDField()
    label = serializers.CharField()  # type: ignore[assignment]  # as above
    hint = serializers.CharField(help_text="The secret's last characters.")
    scopes = serializers.ListField(child=serializers.ChoiceField(Scope.choices))
    created_at = serializers.DateTimeField()
    expires_at = serializers.DateTimeField()
    revoked_at = serializers.DateTimeField(allow_null=True)
    last_used_at = serializers.DateTimeField(allow_null=True)


class IssuedTokenAnswer(TokenAnswer):
    """A token with its secret, shown this once."""

    secret = serializers.CharField()


class CallerAnswer(serializers.Serializer[Any]):
    """Who calls, and what the token may do."""

    person = PersonAnswer()
    operator = serializers.UUIDField()
    operator_name = serializers.CharField()
    scopes = serializers.ListField(child=serializers.ChoiceField(Scope.choices))
    token_expires_at = serializers.DateTimeField()


def person_answer(person: Person, reader: Actor) -> dict[str, Any]:
    """Return a person as ``reader`` may see them."""
    private = reader.role == Role.COORDINATOR or reader.person_id == person.pk
    return {
        "id": str(person.pk),
        "name": person.name,
        "email": person.email if private else None,
        "role": person.role,
        "certificate_kind": person.certificate_kind if private else None,
        "certificate_number": person.certificate_number if private else None,
        "wants_mail": person.wants_mail,
        "active": person.active,
        "version": person.version,
    }


def token_answer(token: Token) -> dict[str, Any]:
    """Return a token without its secret, which nobody has any more."""
    return {
        "id": str(token.pk),
        "person": str(token.person_id),
        "label": token.label,
        "hint": token.hint,
        "scopes": token.scopes,
        "created_at": token.created_at,
        "expires_at": token.expires_at,
        "revoked_at": token.revoked_at,
        "last_used_at": token.last_used_at,
    }
