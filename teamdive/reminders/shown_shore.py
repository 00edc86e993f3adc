"""What a reader is shown of a float plan: planners all of it, everyone else on the trip who waits and until when."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.conf import settings

from teamdive.trips.models import ShoreContact, Site, Trip
from teamdive.trips.selectors_shore import account_of, contacts_of, plan_of

from . import selectors_shore
from .delivery_shore import link
from .rules_shore import Said
from .words_shore import IF_NOT_HEARD


def plan_shown(trip: Trip, *, everything: bool, now: datetime) -> dict[str, Any]:
    """`stands`: nobody, armed, raised, untaken, acknowledged, handed_over or home. Without a plan: nobody."""
    plan = plan_of(trip)
    contacts = [] if plan is None else contacts_of(plan)
    page = None if plan is None else selectors_shore.page(plan.trip, plan, now)
    shown: dict[str, Any] = {
        "back_by": None if plan is None else plan.back_by,
        "stands": "nobody" if page is None else page.stands,
        "contacts": [_contact(one, everything) for one in contacts],
        "home": None if page is None else _said(page.home),
        "handed_over": None if page is None else _said(page.handed_over),
    }
    if not everything:
        return shown
    sites = Site.objects.filter(dives__trip=trip).distinct()
    return {
        **shown,
        "if_not_heard": "" if plan is None else plan.if_not_heard,
        "if_not_heard_general": IF_NOT_HEARD,
        "sites": [{"id": one.pk, "name": one.name, "position": one.position} for one in sites],
        "call_every_min": trip.club.shore_call_every_min,
        "calls_before_next": trip.club.shore_calls_before_next,
        "mail": settings.MAIL_SET_UP,
        "told_otherwise_by": "" if plan is None else plan.told_otherwise_by,
        "heard": None if page is None else page.heard,
        "alarms": []
        if page is None
        else [
            {
                "kind": one.kind,
                "since": one.since,
                "text": page.alarm(one),
                "acknowledged": _said(one.acknowledged),
            }
            for one in page.alarms
        ],
        "sent": []
        if plan is None
        else [
            {
                "contact": one.contact,
                "kind": one.kind,
                "state": one.state,
                "at": one.at,
                "error": one.error,
            }
            for one in selectors_shore.reached(plan)
        ],
    }


def _contact(one: ShoreContact, everything: bool) -> dict[str, Any]:
    shown: dict[str, Any] = {"id": one.pk, "name": one.name}
    if everything:
        account = account_of(one) is not None
        shown |= {
            "email": one.email,
            "phone": one.phone,
            "diver": one.diver_id,
            "account": account,
            # To be handed on by people, where mail does not reach: whoever opens it speaks as this contact.
            "link": link(selectors_shore.token_of(one)),
        }
    return shown


def _said(said: Said | None) -> dict[str, Any] | None:
    return None if said is None else {"by": said.by, "at": said.at, "log": said.log}
