"""Accounts of a club: given by the record's e-mail, linked where there is one, never the last organiser's taken."""

from __future__ import annotations

import re

import pytest
from django.contrib.auth.hashers import identify_hasher

from teamdive.people import permissions, rules, services
from teamdive.people.models import Club, Diver, Membership, User
from teamdive.people.services_accounts import (
    UnableToManageAccount,
    change_account,
    give_account,
    start_club,
    take_account,
)
from teamdive.web.problems import Unable
from tests.services.people_fixtures import NOW, cast

pytestmark = pytest.mark.django_db


def refused(work) -> dict:
    with pytest.raises(UnableToManageAccount) as raised:
        work()
    (error,) = raised.value.errors
    assert error["message"] and error["remedy"], "a refusal says what mends it"
    return error


def test_a_diver_of_the_roster_gets_an_account_by_the_e_mail_of_the_record():
    club = cast()
    given = give_account(diver=club.other_record, role="leader", by=club.organiser, now=NOW)
    kit = Diver.objects.get(pk=club.other_record.pk)
    assert given.user == kit.user and given.user.email == "kit@varrow.example"
    assert given.user.date_joined == NOW
    assert re.fullmatch(r"[a-z2-9]{4}(-[a-z2-9]{4}){2}", given.password or "")
    assert given.user.check_password(given.password)
    assert given.password not in User.objects.get(pk=given.user.pk).password
    assert identify_hasher(given.user.password), "what is kept is a hash"
    assert permissions.may(given.user, club.club, "plan_trips") and given.role == "leader"
    assert (
        refused(lambda: give_account(diver=kit, role="diver", by=club.organiser, now=NOW))["code"]
        == "has_account"
    )


def test_no_two_passwords_are_the_same():
    club = cast()
    made = {
        change_account(diver=club.diver_record, by=club.organiser, new_password=True).password
        for _ in range(20)
    }
    assert len(made) == 20


def test_who_has_an_account_already_is_linked_and_keeps_password_and_role():
    club = cast()
    club.organiser.set_password("kelp and anchor 41")
    club.organiser.save()
    record = services.add_diver(club=club.club, name="Greta Solum", email="ORGANISER@varrow.example")
    given = give_account(diver=record, role="diver", by=club.organiser, now=NOW)
    assert given.password is None and given.role == "organiser" and given.user == club.organiser
    assert User.objects.get(pk=club.organiser.pk).check_password("kelp and anchor 41")
    assert Diver.objects.get(pk=record.pk).user == club.organiser
    # Someone of another club: linked too, and no more than this role in this club.
    guest = services.add_diver(club=club.club, name="Ola Stranger", email=club.stranger.email)
    linked = give_account(diver=guest, role="diver", by=club.organiser, now=NOW)
    assert linked.password is None and linked.role == "diver"
    assert not permissions.may(club.stranger, club.club, "read_divers")
    assert Membership.objects.filter(user=club.stranger).count() == 2


def test_without_an_e_mail_there_is_no_account_and_the_remedy_is_said():
    club = cast()
    record = services.add_diver(club=club.club, name="Una Torvald")
    error = refused(lambda: give_account(diver=record, role="diver", by=club.organiser, now=NOW))
    assert (error["code"], error["pointer"]) == ("email_missing", "/email")
    assert "Una Torvald" in error["message"] and "Add the e-mail" in error["remedy"]
    assert not User.objects.filter(memberships__role="diver").exclude(pk=club.diver.pk).exists()


def test_one_account_is_one_record_of_a_club():
    club = cast()
    services.change_diver(diver=club.diver_record, email="noor.new@varrow.example")
    twin = services.add_diver(club=club.club, name="Noor Haddow the younger", email=club.diver.email)
    error = refused(lambda: give_account(diver=twin, role="diver", by=club.organiser, now=NOW))
    assert error["code"] == "account_of_another" and "Noor Haddow" in error["message"]


@pytest.mark.parametrize("who", ["leader", "diver", "stranger"])
def test_only_an_organiser_of_the_club_gives_changes_and_takes(who):
    club = cast()
    by = getattr(club, who)
    for work in (
        lambda: give_account(diver=club.other_record, role="organiser", by=by, now=NOW),
        lambda: change_account(diver=club.diver_record, role="organiser", by=by),
        lambda: change_account(diver=club.diver_record, new_password=True, by=by),
        lambda: take_account(diver=club.diver_record, by=by),
    ):
        assert refused(work)["code"] == "organisers_only"
    assert Membership.objects.get(user=club.diver).role == "diver"


def test_a_role_is_changed_and_an_account_taken_away_while_the_record_stays():
    club = cast()
    changed = change_account(diver=club.diver_record, role="leader", by=club.organiser)
    assert changed.role == "leader" and changed.password is None
    assert permissions.may(club.diver, club.club, "read_divers")
    take_account(diver=Diver.objects.get(pk=club.diver_record.pk), by=club.organiser)
    record = Diver.objects.get(pk=club.diver_record.pk)
    assert record.user is None and record.name == "Noor Haddow"
    assert not permissions.is_own_record(club.diver, record)
    assert not Membership.objects.filter(user=club.diver).exists()
    assert refused(lambda: take_account(diver=record, by=club.organiser))["code"] == "no_account"
    again = give_account(diver=record, role="diver", by=club.organiser, now=NOW)
    assert again.user == club.diver and again.password is None


def test_a_club_is_never_left_without_an_organiser():
    club = cast()
    record = services.add_diver(club=club.club, name="Greta Solum", email=club.organiser.email)
    give_account(diver=record, role="organiser", by=club.organiser, now=NOW)
    record = Diver.objects.get(pk=record.pk)
    for work in (
        lambda: change_account(diver=record, role="leader", by=club.organiser),
        lambda: take_account(diver=record, by=club.organiser),
    ):
        assert refused(work)["code"] == "last_organiser"
    change_account(diver=club.diver_record, role="organiser", by=club.organiser)
    assert change_account(diver=record, role="leader", by=club.organiser).role == "leader"


@pytest.mark.parametrize(
    ("before", "after", "organisers", "left_without"),
    [
        ("organiser", "leader", 1, True),
        ("organiser", None, 1, True),
        ("organiser", "organiser", 1, False),
        ("organiser", None, 2, False),
        ("leader", None, 1, False),
    ],
)
def test_who_is_the_last_organiser(before, after, organisers, left_without):
    assert rules.leaves_no_organiser(before, after, organisers) is left_without


def test_a_new_password_only_for_an_account_that_is_this_clubs_alone():
    club = cast()
    made = change_account(diver=club.diver_record, by=club.organiser, new_password=True)
    assert User.objects.get(pk=club.diver.pk).check_password(made.password)
    elsewhere = Club.objects.get(name="Sallow Head divers")
    services.add_member(club=elsewhere, email=club.diver.email, role="diver")
    error = refused(lambda: change_account(diver=club.diver_record, by=club.organiser, new_password=True))
    assert error["code"] == "not_ours_alone"
    Membership.objects.filter(club=elsewhere, user=club.diver).delete()
    User.objects.filter(pk=club.diver.pk).update(is_staff=True)
    record = Diver.objects.get(pk=club.diver_record.pk)
    error = refused(lambda: change_account(diver=record, by=club.organiser, new_password=True))
    assert error["code"] == "not_ours_alone"


def test_a_club_of_ones_own_is_started_once():
    account, made = start_club(
        name="Grey Water divers", organiser="Ada@grey.example", now=NOW, time_zone="Atlantic/Azores"
    )
    assert made and account.user.email == "ada@grey.example" and account.user.check_password(account.password)
    club = Club.objects.get(name="Grey Water divers")
    assert club.time_zone == "Atlantic/Azores" and club.overdue_after_min is None
    assert permissions.may(account.user, club, "manage_accounts")
    again, made = start_club(name=" Grey Water divers ", organiser="ada@grey.example", now=NOW)
    assert not made and again.password is None and again.user == account.user
    assert User.objects.get(pk=account.user.pk).check_password(account.password), "again changes nothing"
    lost, _ = start_club(name="Grey Water divers", organiser="ada@grey.example", now=NOW, new_password=True)
    assert lost.password and User.objects.get(pk=account.user.pk).check_password(lost.password)
    second, made = start_club(name="Grey Water divers", organiser="bo@grey.example", now=NOW)
    assert not made and second.password
    assert Membership.objects.filter(club=club, role="organiser").count() == 2


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"name": "Other divers", "organiser": "ada at grey"}, "is no e-mail address"),
        ({"name": "Other divers", "organiser": "a@b.example", "time_zone": "Mars/Base"}, "is no time zone"),
        ({"name": " ", "organiser": "a@b.example"}, "needs a name"),
    ],
)
def test_a_club_that_cannot_be_is_refused_in_words(asked, says):
    with pytest.raises(Unable, match=says):
        start_club(now=NOW, **asked)
    assert not Club.objects.filter(name__in=["Other divers", "", " "]).exists()
