"""The keeper's pages of people, logbook and trips open, and what is frozen there cannot be changed."""

from __future__ import annotations

import pytest
from django.contrib import admin
from django.test import Client
from django.urls import reverse

from teamdive.people.models import Club, Diver, User
from teamdive.trips.models import Snapshot, Trip
from tests.services.people_fixtures import NOW, cast

ROOMS = {"people", "logbook", "trips"}
MODELS = [model for model in admin.site._registry if model._meta.app_label in ROOMS]


@pytest.fixture
def keeper(db) -> Client:
    client = Client()
    client.force_login(
        User.objects.create_superuser("keeper@varrow.example", "long and odd words"),
        backend="allauth.account.auth_backends.AuthenticationBackend",
    )
    return client


@pytest.mark.parametrize("model", MODELS, ids=lambda m: m._meta.label)
def test_every_list_opens(model, keeper):
    cast()
    assert (
        keeper.get(reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_changelist")).status_code
        == 200
    )


def test_a_diver_is_changed_with_what_stands_beside(keeper):
    club = cast().club
    diver = Diver.objects.filter(club=club).first()
    assert keeper.get(reverse("admin:people_diver_change", args=[diver.pk])).status_code == 200
    assert keeper.get(reverse("admin:people_club_change", args=[club.pk])).status_code == 200
    assert keeper.get(reverse("admin:people_diver_add")).status_code == 200


def test_a_trip_that_is_ready_is_only_shown(keeper):
    club: Club = cast().club
    trip = Trip.objects.create(club=club, name="Two dives", starts_at=NOW, state="ready")
    Snapshot.objects.create(trip=trip, hash="0" * 64, canonical="{}", names={}, labels={}, made_at=NOW)
    url = reverse("admin:trips_trip_change", args=[trip.pk])
    assert keeper.get(url).status_code == 200
    assert keeper.post(url, {"name": "Another"}).status_code == 403
    for what in ("change", "delete"):
        url = reverse(f"admin:trips_snapshot_{what}", args=[trip.snapshot.pk])
        assert keeper.post(url, {"post": "yes"}).status_code == 403
    assert Trip.objects.get().name == "Two dives"


def test_a_member_without_the_key_does_not_enter(db):
    client = Client()
    client.force_login(cast().organiser, backend="allauth.account.auth_backends.AuthenticationBackend")
    assert client.get(reverse("admin:people_diver_changelist")).status_code == 302
