"""When the service's own jobs run, in UTC. Each may run at any time and any number of times."""

from typing import Any, Final

from celery.schedules import crontab

_MINUTE: Final = 60.0


def _every(seconds: float, task: str) -> dict[str, Any]:
    # A worker that was away needs one such message, not all that were sent meanwhile.
    return {"task": f"servicing.{task}", "schedule": seconds, "options": {"expires": seconds}}


# What runs often is sent at once by a nudge, too: here the schedule only catches what a lost nudge left.
SCHEDULE: Final[dict[str, dict[str, Any]]] = {
    "assess waiting parts": _every(5 * _MINUTE, "assess_waiting"),
    "handle waiting changes": _every(_MINUTE, "handle_waiting_changes"),
    "send waiting mail": _every(_MINUTE, "send_waiting_mail"),
    "run waiting imports": _every(_MINUTE, "run_waiting_imports"),
    "renew outdated readings": _every(_MINUTE, "renew_outdated_readings"),
    "review reinspections": _every(60 * _MINUTE, "review_reinspections"),
    "put aside forgotten top-ups": _every(60 * _MINUTE, "put_aside_forgotten_top_ups"),
    "recorrect stale readings": {
        "task": "servicing.recorrect_stale_readings",
        "schedule": crontab(hour="1", minute="40"),
    },
    "nightly sweep": {"task": "servicing.nightly_sweep", "schedule": crontab(hour="2", minute="10")},
    "forget expired answers": {"task": "servicing.forget_expired_answers", "schedule": crontab(minute="25")},
}
