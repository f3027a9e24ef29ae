"""The page behind the unsubscribe link. Opening it changes nothing, because mail scanners open every link."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from servicing.outbox.actions import unsubscribe_person
from servicing.outbox.links import read_unsubscribe


# The signed address is the authority: a mail provider's one-click POST (RFC 8058) brings no cookie.
@csrf_exempt
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def unsubscribe(request: HttpRequest, token: str) -> HttpResponse:
    """Show the form on GET, stop the mail on POST."""
    if request.method == "POST":
        known = unsubscribe_person(token=token, now=timezone.now()) is not None
    else:
        known = read_unsubscribe(token) is not None
    values = {"known": known, "done": request.method == "POST"}
    return render(request, "outbox/unsubscribe.html", values, status=200 if known else 404)


urlpatterns = [path("unsubscribe/<str:token>", unsubscribe, name="unsubscribe")]
