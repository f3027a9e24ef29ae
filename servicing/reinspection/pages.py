"""The calendar feed: its address is its key, because calendar programs send no token."""

from django.http import HttpRequest, HttpResponse, HttpResponseNotFound
from django.urls import path
from django.utils import timezone
from django.utils.cache import get_conditional_response, patch_cache_control
from django.views.decorators.http import require_safe

from fleet.web.etags import etag_for
from servicing.reinspection.calendar import feed, feed_stamp, reader_of
from servicing.reinspection.queries import looks_matching


@require_safe
def calendar_feed(request: HttpRequest, secret: str) -> HttpResponse:
    """Answer the open looks of the operator of whoever's address this is; 304 while nothing changed."""
    reader = reader_of(secret)
    if reader is None:
        return HttpResponseNotFound("no such calendar", content_type="text/plain; charset=utf-8")
    etag = etag_for(str(reader.operator_id), *feed_stamp(reader.operator))
    answer = get_conditional_response(request, etag=etag)
    if answer is None:
        looks = looks_matching(reader.operator, {"open": True}, timezone.now()).order_by("due_on", "id")
        answer = HttpResponse(feed(reader.operator, looks), content_type="text/calendar; charset=utf-8")
        answer["Content-Disposition"] = 'inline; filename="reinspections.ics"'
    answer["ETag"] = etag
    patch_cache_control(answer, private=True, no_cache=True)
    return answer


urlpatterns = [path("calendar/<str:secret>.ics", calendar_feed, name="calendar-feed")]
