"""Random entries of what is written around a dive and when it goes wrong, for random histories."""

from __future__ import annotations

from random import Random
from typing import Any

from teamdive.boatlog.entries import Entry
from tests.boat_scene import Phone, uid

# Last seen by the phone a while before the tap.
OLD_FIX = {"lat_e6": 38_602_000, "lon_e6": -28_701_000, "accuracy_m": 40, "age_s": 95}
FIX = {"lat_e6": 38_601_234, "lon_e6": -28_700_000, "accuracy_m": 12}
EDGES = [
    "ascended_too_fast",
    "briefed",
    "conditions_found",
    "conditions_found",
    "distress_call_made",
    "fit_to_dive_said",
    "lost_from_sight",
    "overdue_reached",
    "oxygen_started",
    "oxygen_stopped",
    "pressure_reported",
    "procedure_step_done",
    "procedure_step_done",
    "question_settled",
    "question_settled",
    "recall_acknowledged",
    "recall_given",
    "seen_at_surface",
    "stop_missed",
    "surface_cover_confirmed",
    "symptoms_asked",
    "team_check_done",
    "trip_ended",
    "turned",
]


def at_the_edge(
    rng: Random,
    phone: Phone,
    kind: str,
    when: int,
    dive: str,
    team: str,
    members: str,
    person: str,
    span: dict[str, Any],
    tail: dict[str, Any],
) -> Entry | None:
    """What is entered around a dive and when it goes wrong."""
    bar = {"unit": rng.choice(["bar", "psi"]), "value": rng.randint(40, 3000)}
    said: dict[str, Any]
    if kind in ("ascended_too_fast", "stop_missed"):
        return phone.write(kind, person, when, dive=dive, **span, **tail)
    if kind in ("seen_at_surface", "lost_from_sight"):
        return phone.write(kind, person, when, fix=rng.choice([None, OLD_FIX]), **span, **tail)
    if kind == "symptoms_asked":
        said = {
            "after_min": rng.choice([10, 60, None]),
            "said": rng.choice(["well", "not_well", "no_answer"]),
        }
        return phone.write(kind, person, when, dive=dive, **said, **tail)
    if kind == "trip_ended":
        return phone.write(kind, "trip", when, **span, **tail)
    if kind == "question_settled":
        # Of what this phone wrote itself, so that a code and its entries meet now and then.
        of = rng.sample(phone.entries, min(len(phone.entries), 3)) or None
        said = {
            "code": rng.choice(
                ["up_not_recorded", "no_deck_holder", "forked", "up_before_down", "dives_overlap"]
            ),
            "entries": sorted({entry.id for entry in of}) if of else [uid("none")],
            "with": rng.choice("abcs"),
        }
        return phone.write(kind, person, when, **said, **tail)
    if kind in ("oxygen_started", "oxygen_stopped"):
        return phone.write(kind, person, when, **tail)
    if kind == "pressure_reported":
        return phone.write(kind, person, when, dive=dive, pressure=bar, **tail)
    if kind == "team_check_done":
        read = [{"person": uid(member), "pressure": bar} for member in members]
        return phone.write(kind, team, when, lines=5, pressures=read, **tail)
    if kind == "recall_given":
        return phone.write(kind, "trip", when, teams=[team], means="sound", **span, **tail)
    if kind in ("recall_acknowledged", "turned"):
        return phone.write(kind, team, when, **span, **tail)
    if kind == "overdue_reached":
        return phone.write(kind, team, when, people=list(members), fix=rng.choice([None, FIX]), **tail)
    if kind == "conditions_found":
        said = {
            "current_tenths_kn": rng.choice([None, 0, 5, 12]),
            "current_toward_deg": rng.choice([None, 7, 250]),
            "wind_kn": rng.choice([None, 14]),
        }
        return phone.write(kind, dive, when, wind_from_deg=300, **said, **tail)
    if kind == "distress_call_made":
        return phone.write(
            kind,
            "trip",
            when,
            to="coastguard",
            means="voice_radio",
            urgency="distress",
            people=[person],
            **tail,
        )
    if kind == "procedure_step_done":
        return phone.write(kind, "trip", when, step=rng.choice(["recall", "call", "club_step"]), **tail)
    if kind == "surface_cover_confirmed":
        roles = {"boat_handler": uid("s"), "lookout": None, "oxygen": uid(person), "standby": None}
        return phone.write(kind, dive, when, flag_up=True, engine_off=rng.random() < 0.5, **roles, **tail)
    if kind == "briefed":
        return phone.write(kind, dive, when, people=[person], **tail)
    return None


def homecoming(rng: Random, phone: Phone, when: int, people: str) -> list[Entry]:
    """Everyone back aboard and counted two to six times, mostly in full, by counters who may be the same."""
    made = [phone.write("back_aboard", person, when) for person in people]
    counters = rng.choice(["sa", "sa", "ab", "s"])
    for number in range(rng.randint(2, 6)):
        when += rng.choice([1000, 90_000])
        by = counters[number % len(counters)]
        method = rng.choice(["answered", "signed", "seen"])
        seen = list(people) if rng.random() < 0.7 else rng.sample(people, len(people) - 1)
        count = f"h{number}"
        if method != "seen" or rng.random() < 0.5:
            made.append(phone.met(when, "".join(seen), count=count, method=method, by=by))
        heads = rng.choice([None, len(seen)]) if seen else None
        made.append(
            phone.write("count_finished", "trip", when + 5000, count=count, method=method, heads=heads, by=by)
        )
    return made
