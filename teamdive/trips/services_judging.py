"""Whether teams that people chose may dive: each judged alone by the rules of pairing."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from teamdive.scale.teams import teams

from . import rules, selectors
from .bodies import teams_body
from .models import Dive, Trip
from .person_facts import PersonFacts
from .services import UnableToChangeTrip


class UnableToAnnounceTeams(UnableToChangeTrip):
    code = "unable_to_announce_teams"


def judge(
    dive: Dive,
    named: Sequence[Sequence[str]],
    facts: Mapping[str, PersonFacts],
    overrides: Sequence[Mapping[str, Any]],
    signed: str,
    guided: Collection[frozenset[str]] = (),
) -> list[dict[str, Any]]:
    """What pairing says of each of these teams alone; raises UnableToAnnounceTeams naming the rules against one."""
    judged = [
        verdict(dive, members, facts, overrides, guided=frozenset(members) in guided) for members in named
    ]
    leads = {person for person, known in facts.items() if known.booking.can_lead}
    errors = [
        {
            "pointer": f"/teams/{place}",
            "code": rule["code"],
            "message": rule["message"],
            "divers": rule["divers"],
            **rules.may_set_aside(rule, signed, members, leads),
        }
        for place, (members, answer) in enumerate(zip(named, judged, strict=True))
        for rule in against(members, answer)
    ]
    if errors:
        raise UnableToAnnounceTeams(
            f"{errors[0]['message']} Change the team, or override the rule with a reason where that is allowed.",
            code="team_not_permitted",
            errors=errors,
        )
    return judged


def verdict(
    dive: Dive,
    members: Sequence[str],
    facts: Mapping[str, PersonFacts],
    overrides: Sequence[Mapping[str, Any]],
    *,
    guided: bool = False,
) -> dict[str, Any]:
    """The answer of `teams` for these people alone, as a team or as a guided group."""
    mine = [override for override in overrides if override["diver"] in members]
    asked = {"overrides": mine, "guided" if guided else "why_not": [list(members)]}
    body = teams_body(dive, [facts[member] for member in members], asked)
    # People may choose a three where the solution would not have made one.
    # Who covers the surface is a question of the whole dive (see `_cover_named`).
    body["policy"] = {**body.get("policy", {}), "threes": "free", "surface_cover": "shown"}
    return teams(body)


def against(members: Sequence[str], answer: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The rules that forbid the team a verdict was asked about; none where it may dive."""
    if [set(team["divers"]) for team in answer["teams"]] == [set(members)]:
        return []
    if "why_not" in answer:
        rules_named: list[dict[str, Any]] = answer["why_not"][0].get("rules", [])
        return rules_named
    # A guided group is a must: what makes it impossible is told as facts, beside the group itself.
    barred = [reason for one in answer["not_placed"] for reason in one["reasons"]]
    return [one for one in (*answer.get("facts", ()), *barred) if "overridable" in one]


# What is recorded at the dock or on deck, after a trip has been made ready: until then it may be missing.
AT_THE_DOCK = frozenset({"gas_not_known", "gas_not_analysed"})


def rules_against_announced(trip: Trip) -> list[rules.Reason]:
    """The rules that speak against announced teams now: facts may have changed since they were announced."""
    found = []
    for dive in trip.dives.order_by("number"):
        facts = {str(f.booking.pk): f for f in selectors.facts(dive, selectors.booked_divers(dive))}
        for team in dive.teams.prefetch_related("members"):
            members = [str(member.booking_id) for member in team.members.all()]
            if not set(members) <= set(facts):
                continue
            found += [
                rules.Reason(
                    rule["code"],
                    f"Team {team.number} of dive {dive.number}: {rule['message']}",
                    "Have the teams worked out again and announce them.",
                    f"/dives/{dive.pk}/teams",
                )
                for rule in against(
                    members, verdict(dive, members, facts, dive.overrides, guided=team.guided)
                )
                if rule["code"] not in AT_THE_DOCK
            ]
    return found
