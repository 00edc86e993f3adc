"""Weeks before: whether the roster of a trip can be paired for a dive, and on whom it hangs."""

from __future__ import annotations

from typing import Any

from teamdive.people.models import Diver
from teamdive.scale.teams import teams

from .bodies import diver_part, teams_body
from .models import Booking, Dive
from .selectors import FEW, booked_divers, facts

# Above any working pressure: a cylinder is taken to be filled to its own.
FULL = {"unit": "bar", "value": 500}
MOST_CANDIDATES = 30


def pairability(dive: Dive) -> dict[str, Any]:
    """{"pairability", "not_placed", "full", "names"}: the answer of `teams` weeks before, in booking ids.

    Whose gas is not recorded yet is taken to bring the usual cylinder full of air (`full` names them). Who of the
    club is not on the trip waits for a place, under the id of the diver's record. Raises the calculation's Problem.
    """
    divers = booked_divers(dive)
    people = facts(dive, divers, FULL)
    if len(people) < 2:
        return {"pairability": None, "not_placed": [], "full": [], "names": {}}
    waiting = facts(dive, _not_on_the_trip(dive), FULL) if len(people) <= FEW else []
    club = dive.trip.club
    answer = teams(
        {
            **teams_body(dive, people, {}),
            "find": "pairability",
            "candidates": [diver_part(known, dive, club, for_teams=True) for known in waiting],
            "remedies": len(people) <= FEW,
        }
    )
    return {
        "pairability": answer["pairability"],
        "not_placed": answer["not_placed"],
        "full": [str(one.booking.pk) for one in people if one.gas is not None and one.gas._state.adding],
        "names": {str(one.booking.pk): one.booking.display_name for one in (*people, *waiting)},
    }


def _not_on_the_trip(dive: Dive) -> list[Booking]:
    """Bookings that could be made, kept nowhere: of the club's divers whose certified depth is known."""
    booked = Booking.objects.filter(trip=dive.trip_id, cancelled_at=None, diver__isnull=False).values("diver")
    others = (
        Diver.objects.filter(club=dive.trip.club, certifications__depth_hundredths__isnull=False)
        .exclude(pk__in=booked)
        .select_related("fitness", "club")
        .prefetch_related("certifications", "cylinders", "guardians")
        .distinct()
        .order_by("name_key", "pk")[:MOST_CANDIDATES]
    )
    return [Booking(pk=diver.pk, trip=dive.trip, diver=diver) for diver in others]
