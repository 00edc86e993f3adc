"""The worker's door. A message in the queue only shortens the wait: the rows are the duty."""

import logging
import time

from celery import current_app, shared_task
from django.utils import timezone

from . import selectors, selectors_shore, services, services_shore
from .beat import BEAT

__all__ = ["BEAT", "nudge", "sweep"]

log = logging.getLogger(__name__)

_REST_AFTER_FAILURE_S = 30.0
_rest_until = 0.0


@shared_task(name="teamdive.reminders.tasks.sweep", ignore_result=True)
def sweep() -> None:
    """Take in the boat logs that grew, look at the duties ashore that time changed, then deliver until nothing is due.

    Any number may run at once.
    """
    for trip_id in selectors.behind(timezone.now()):
        services.take_in(trip_id=trip_id, now=timezone.now())
    for trip_id in selectors_shore.due(timezone.now()):
        services_shore.look(trip_id=trip_id, now=timezone.now())
    while services.deliver_due(now=timezone.now()):
        pass


def nudge() -> None:
    """Ask for a sweep now; without a broker nothing happens, and the next sweep does the work.

    After a failure none is tried for half a minute, so that a dead broker does not slow every request.
    """
    global _rest_until
    if time.monotonic() < _rest_until:
        return
    try:
        current_app.send_task("teamdive.reminders.tasks.sweep", expires=10, retry=False, ignore_result=True)
    except Exception as error:  # kombu, redis and the file system each raise their own
        _rest_until = time.monotonic() + _REST_AFTER_FAILURE_S
        log.warning("no nudge for the worker (%s); the next sweep will do", error)
