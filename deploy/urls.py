"""Where each part answers."""

from django.urls import URLPattern, URLResolver, include, path

from fleet.web import docs, health, problems

API = [
    path("", include("fleet.web.docs")),
    path("", include("fleet.operators.api")),
    path("", include("fleet.people.api")),
    path("", include("fleet.aircraft.api")),
    path("", include("fleet.gear.api")),
    path("", include("fleet.audit.api")),
    path("", include("fleet.equipment.api")),
    path("", include("servicing.usage.api")),
    path("", include("servicing.readings.api")),
    path("", include("servicing.work.api")),
    path("", include("servicing.exchange.api")),
    path("", include("servicing.records.api")),
    path("", include("servicing.reinspection.api")),
    path("", include("servicing.alerts.api")),
    path("", include("servicing.outbox.api")),
    path("", include("servicing.backtest.api")),
    path("", include("servicing.standings.api")),
    path("", include("servicing.dispatch.api")),
    path("", include("servicing.calculators.api")),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("api/v1/", include(API)),
    path("", include("servicing.board.urls")),
    path("problems/<slug:code>", docs.problem_page),
    path("healthz", health.healthz),
    path("readyz", health.readyz),
    path("", include("servicing.outbox.pages")),
    path("", include("servicing.reinspection.pages")),
]

handler400 = problems.answer_bad_request
handler404 = problems.answer_not_found
handler500 = problems.answer_server_error
