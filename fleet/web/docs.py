"""The OpenAPI document as it was committed, and the interactive page over it; neither needs the internet."""

from functools import cache
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import path, reverse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe
from drf_spectacular.views import SpectacularSwaggerView

from fleet.web.etags import etag_for

MEDIA_TYPE = "application/vnd.oai.openapi;version=3.1"


@cache
def _document() -> tuple[bytes, str]:
    # The committed file, not a document made anew: a contract test holds both equal, and making it takes seconds.
    content = Path(settings.BASE_DIR, "deploy", "openapi.yaml").read_bytes()
    return content, etag_for(content.decode())


@require_safe
def openapi_document(request: HttpRequest) -> HttpResponse:
    """Answer the document."""
    content, etag = _document()
    answer = HttpResponse(content, content_type=MEDIA_TYPE, headers={"ETag": etag, "Cache-Control": "no-cache"})
    return get_conditional_response(request, etag=etag, response=answer) or answer


@require_safe
def problem_page(request: HttpRequest, code: str) -> HttpResponseRedirect:
    """Lead whoever follows a problem's ``type`` to the documentation, where every refusal is described."""
    return HttpResponseRedirect(reverse("docs"))


urlpatterns = [
    path("openapi.yaml", openapi_document, name="openapi"),
    path("docs/", SpectacularSwaggerView.as_view(url_name="openapi", authentication_classes=[]), name="docs"),
]
