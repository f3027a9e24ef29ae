"""The view that every endpoint starts from: who asks, when, in which units, and how it is answered."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import cached_property
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.utils import timezone
from django.utils.cache import get_conditional_response, patch_cache_control
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer
from rest_framework.views import APIView

from fleet.operators.models import Operator, UnitSystem
from fleet.people.actor import Actor
from fleet.people.models import Token
from fleet.refusals import FieldFault, Refused
from fleet.web.documented import refuse_undocumented
from fleet.web.etags import etag_for, not_modified
from fleet.web.pages import fetch_page
from fleet.web.permissions import Needs
from fleet.web.schema import OperatorSchema
from fleet.web.throttling import TokenThrottle


class BadUnitSystem(Refused):
    """``?units=`` names no unit system."""

    status = 400
    code = "invalid_input"


class OperatorView(APIView):
    """One operator's resource. Subclasses name the role and scope of each method in ``needs``."""

    needs: Needs = {}
    schema = OperatorSchema()
    throttle_classes = [TokenThrottle]
    http_method_names = ["get", "head", "post", "put", "patch", "delete"]

    @property
    def actor(self) -> Actor:
        """Who acts."""
        return self.request.user  # type: ignore[return-value]  # set by BearerToken

    @property
    def token(self) -> Token:
        """What the actor acts through, fetched with its person and operator."""
        return self.request.auth  # type: ignore[return-value]  # set by BearerToken

    @property
    def operator(self) -> Operator:
        """Whose rows may be seen."""
        return self.token.operator

    @cached_property
    def now(self) -> datetime:
        """The one time of this request."""
        return timezone.now()

    @cached_property
    def unit_system(self) -> str:
        """The caller's ``?units=``, else the operator's."""
        asked = self.request.query_params.get("units")
        if asked is None:
            return self.operator.unit_system
        if asked not in UnitSystem.values:
            message = f"one of {', '.join(UnitSystem.values)}"
            raise BadUnitSystem(message, faults=[FieldFault("units", "invalid_choice", message)])
        return asked

    def checked(self, serializer: type[BaseSerializer[Any]], *, many: bool = False) -> Any:
        """Return the request's body as ``serializer`` reads it, or refuse it with every fault."""
        shape = serializer(data=self.request.data, many=many, context={"unit_system": self.unit_system})
        shape.is_valid(raise_exception=True)
        return shape.validated_data

    def checked_part(self, serializer: type[BaseSerializer[Any]]) -> Any:
        """Return the fields that a PATCH names, as `checked`; the others are absent."""
        shape = serializer(data=self.request.data, partial=True, context={"unit_system": self.unit_system})
        shape.is_valid(raise_exception=True)
        return shape.validated_data

    def filters(self, serializer: type[BaseSerializer[Any]]) -> Any:
        """Return the query parameters that ``serializer`` documents."""
        shape = serializer(data=self.request.query_params, context={"unit_system": self.unit_system})
        shape.is_valid(raise_exception=True)
        return shape.validated_data

    def answer(
        self,
        data: Any,
        status: int = 200,
        *,
        etag: str | None = None,
        version: int | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> Response:
        """Answer ``data``.

        ``version`` makes a tag of the row's version and the answer's content, which If-Match takes;
        ``etag`` is sent as it is, with 304 when the caller has it. Without either, a GET's tag comes
        from its content.
        """
        if etag and self.request.method in ("GET", "HEAD") and not_modified(self.request, etag):
            return Response(status=304, headers={"ETag": etag})
        if version is not None:
            etag = etag_for(version, data)
        return Response(data, status=status, headers={**({"ETag": etag} if etag else {}), **(headers or {})})

    def page(
        self,
        queryset: QuerySet[Any, Any],
        serialise: Callable[[Any], Any],
        order: Sequence[str] = ("-taken_at", "-id"),
    ) -> Response:
        """Answer one keyset page: ``{"items": [...], "next": address or null}`` and a Link header."""
        return self.page_together(queryset, lambda rows: [serialise(row) for row in rows], order)

    def page_together(
        self, queryset: QuerySet[Any, Any], serialise: Callable[[list[Any]], list[Any]], order: Sequence[str]
    ) -> Response:
        """Answer a page whose rows are serialised together, where something is fetched for all of them at once."""
        page = fetch_page(self.request, queryset, order)
        link = page.link_header()
        return self.answer(
            {"items": serialise(page.rows), "next": page.next_url},
            headers={"Link": link} if link else None,
        )

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """See DRF; then refuses what the operation does not document."""
        super().initial(request, *args, **kwargs)
        refuse_undocumented(self, request)

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """See DRF; then adds RateLimit fields, and to a read its tag, answering 304 where it is known."""
        response = super().dispatch(request, *args, **kwargs)
        if allowance := getattr(request, "allowance", None):
            for name, value in allowance.headers().items():
                response[name] = value
        patch_cache_control(response, private=True, no_cache=True)
        if request.method not in ("GET", "HEAD") or response.status_code != 200 or response.streaming:
            return response
        if isinstance(response, Response):
            response.render()
        if "ETag" not in response:
            response["ETag"] = etag_for(response.content.decode("latin-1"))  # type: ignore[attr-defined]
        return get_conditional_response(request, etag=response["ETag"], response=response) or response  # type: ignore[arg-type]
