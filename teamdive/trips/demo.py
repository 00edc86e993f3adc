"""The invented club that a newcomer meets: its roster through the real import, and a trip for today, made ready.

The data lie in fixtures/demo and fixtures/imports. Loading again changes nothing on the same day; on another
day it adds that day's trip.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import uuid5

from django.db import transaction

from teamdive.logbook.services import log_dive
from teamdive.people import imports
from teamdive.people.models import Club, Diver, ImportedSheet, User
from teamdive.people.services import add_club, add_member, change_club, record_fitness

from . import services, services_ready, services_shore, services_teams
from .bodies import local_day, surfaced_at
from .models import Booking, Dive, Trip

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


@dataclass(frozen=True)
class SignIn:
    """An account of the demo club; `password` is None where it was set before and is not known here."""

    role: str
    name: str
    email: str
    password: str | None


@transaction.atomic
def load_demo(*, now: datetime, passwords: Mapping[str, str] | None = None) -> list[SignIn]:
    """Load the demo club and today's trip; `passwords` by role (organiser, leader, diver), else new accounts get
    random ones. Returns the sign-ins."""
    demo = json.loads((FIXTURES / "demo" / "demo.json").read_text(encoding="utf-8"))
    club = _club(demo)
    _roster(club, demo, now)
    divers = {diver.member_number: diver for diver in club.divers.exclude(member_number="")}
    today = local_day(club, now)
    sign_ins = [_account(club, told, divers, passwords or {}) for told in demo["accounts"]]
    if not any(local_day(club, trip.starts_at) == today for trip in club.trips.all()):
        for told in demo["divers"]:
            _log(divers[told["member_number"]], told["done"], today)
        _trip(club, demo, divers, now)
    return sign_ins


def _club(demo: dict[str, Any]) -> Club:
    settings = dict(demo["club"])
    club = Club.objects.filter(name=settings["name"]).first()
    if club is None:
        club = add_club(**settings)
        services.add_boat(club=club, **demo["boat"])
        for site in demo["sites"]:
            services.add_site(club=club, **site)
    if club.shore_call_every_min is None:  # a demo of before there were float plans
        asked = ("shore_call_every_min", "shore_calls_before_next")
        change_club(club=club, **{name: settings[name] for name in asked})
    return club


def _roster(club: Club, demo: dict[str, Any], now: datetime) -> None:
    if club.imports.filter(state=ImportedSheet.State.APPLIED).exists():
        return
    name = demo["roster"]["file"]
    content = (FIXTURES / "imports" / name).read_bytes()
    roster = imports.start_import(club=club, content=content, file_name=name, by=None, now=now)
    roster = imports.change_import(roster=roster, choices=demo["roster"]["choices"], confirm_all=True)
    imports.apply_import(roster=roster, now=now)


def _account(
    club: Club, told: dict[str, Any], divers: Mapping[str, Diver], passwords: Mapping[str, str]
) -> SignIn:
    diver, role = divers[told["member_number"]], told["role"]
    exists = User.objects.filter(email=diver.email).exists()
    password = passwords.get(role) or (None if exists else secrets.token_urlsafe(9))
    add_member(club=club, email=diver.email, role=role, password=password, diver=diver)
    return SignIn(role, diver.name, diver.email, password)


def _log(diver: Diver, done: list[dict[str, Any]], today: date) -> None:
    """Dives seen by the club, and a declaration of fitness shown. On a later day the same rows are brought up to
    it, as if they had gone on diving: a demo opened after half a year would else find nobody in practice."""
    for place, dive in enumerate(done):
        log_dive(
            diver=diver,
            source=uuid5(diver.pk, f"demo {place}"),
            on=today - timedelta(days=dive["ago"]),
            count=dive["count"],
            depth_hundredths=dive["depth"] * 100,
            depth_unit="m",
            current_kn=Decimal(str(dive["kn"])),
            visibility_m=Decimal(6),
            water_temp_c=Decimal(12),
            night=False,
            task_kind="survey" if "survey" in dive else "",
            task_level=dive.get("survey"),
            evidence="seen",
        )
    record_fitness(diver=diver, in_date_until=today + timedelta(days=300), evidence="shown")


def _trip(club: Club, demo: dict[str, Any], divers: Mapping[str, Diver], now: datetime) -> Trip:
    start = now.replace(second=0, microsecond=0)
    trip = services.add_trip(
        club=club, name=demo["trip"]["name"], starts_at=start, boat=club.boats.get(name=demo["boat"]["name"])
    )
    for person in demo["aboard"]:
        diver = divers.get(person.get("member_number", ""))
        services.add_booking(
            trip=trip, diver=diver, name=person.get("name", ""), role=person["role"], dives=person["dives"]
        )
    booked = {
        told["member_number"]: services.add_booking(
            trip=trip,
            diver=divers[told["member_number"]],
            role="leader" if divers[told["member_number"]].can_lead else "diver",
            earlier_dives=[],
        )
        for told in demo["divers"]
    }
    at = start + timedelta(minutes=demo["trip"]["first_dive_after_min"])
    for place, plan in enumerate(demo["dives"]):
        dive = _dive(trip, plan, at)
        for told in demo["divers"]:
            _gas(booked[told["member_number"]], dive, told["start"][place], now)
        _announce(dive, now)
        over = surfaced_at(dive, dive.bottom_time_s)
        at = (over or at) + timedelta(minutes=demo["trip"]["surface_interval_min"])
        at = at.replace(second=0) + timedelta(minutes=-at.minute % 5)
    told = demo["float_plan"]
    services_shore.change_float_plan(
        trip=trip,
        back_by=start + timedelta(minutes=told["back_by_after_min"]),
        if_not_heard="",
        contacts=told["contacts"],
        positions={trip.club.sites.get(name=name).pk: place for name, place in told["positions"].items()},
        now=now,
        # Where no mail is set up a leader has to say, by name, that those ashore are told another way.
        told_otherwise_by=divers[told["told_otherwise_by"]].name,
    )
    services_ready.make_ready(trip=trip, by=None, now=now)
    return trip


def _dive(trip: Trip, plan: dict[str, Any], at: datetime) -> Dive:
    fields = {name: value for name, value in plan.items() if name != "site"}
    for name in ("current_kn", "visibility_m", "water_temp_c"):
        fields[name] = Decimal(fields[name])
    site = trip.club.sites.get(name=plan["site"])
    return services.add_dive(trip=trip, planned_at=at, depth_unit="m", site=site, **fields)


def _gas(booking: Booking, dive: Dive, start: int, now: datetime) -> None:
    cylinder = booking.diver.cylinders.get(label="main") if booking.diver else None
    if cylinder is None or cylinder.volume is None or cylinder.working_pressure is None:
        raise ValueError(f"{booking} has no cylinder in the demo roster")
    services_teams.check_gas(
        booking=booking,
        dive=dive,
        cylinder=f"{booking.diver.member_number if booking.diver else ''}-{dive.number}",
        volume=cylinder.volume,
        volume_unit=cylinder.volume_unit,
        working_pressure=cylinder.working_pressure,
        pressure_unit=cylinder.pressure_unit,
        start_pressure=start,
        analysed_o2_pm=210,
        analysed_by=booking,
        now=now,
    )


def _announce(dive: Dive, now: datetime) -> None:
    proposal = services_teams.solve_teams(dive=dive, asked={}, by=None, now=now)
    answer = proposal.answer
    services_teams.announce_teams(
        dive=dive,
        chosen=[(team["divers"], team["lead"]) for team in answer["teams"]],
        by=None,
        now=now,
        proposal=proposal,
    )
