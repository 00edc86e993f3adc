"""Accounts: who of the club signs in, and as what. Passwords are made here, given back once and kept only hashed."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction

from teamdive.web.problems import Unable

from . import rules, selectors, services
from .models import Club, Diver, Membership, User

# Without the letters and figures that are mistaken for each other when read aloud or copied by hand.
ALPHABET = "abcdefghjkmnpqrstuvwxyz23456789"


class UnableToManageAccount(Unable):
    """An account that cannot be given, changed or taken away; says what mends it."""

    code = "unable_to_manage_account"

    def __init__(self, message: str, remedy: str, *, code: str, pointer: str = "") -> None:
        error = {"pointer": pointer, "code": code, "message": message, "remedy": remedy}
        super().__init__(f"{message} {remedy}", code=code, errors=[error])


@dataclass(frozen=True)
class Account:
    """An account as its club sees it; `password` only in the answer of the call that made it."""

    user: User
    role: str
    password: str | None = None


def one_time_password() -> str:
    """Three groups of four, 31^12 of them (59 bits): shown once, to be replaced by the person's own."""
    return "-".join("".join(secrets.choice(ALPHABET) for _ in range(4)) for _ in range(3))


@transaction.atomic
def give_account(*, diver: Diver, role: str, by: User, now: datetime) -> Account:
    """An account with this role for a diver of the roster, by the e-mail of the record.

    Whoever has an account by that e-mail already keeps it and its password: it is linked, and a role that it has
    in the club stays. Raises UnableToManageAccount.
    """
    _allowed(by, diver.club)
    diver = Diver.objects.select_for_update(of=("self",)).select_related("club").get(pk=diver.pk)
    if not diver.email:
        raise UnableToManageAccount(
            f"{diver.name} has no e-mail on record, and people sign in by it.",
            "Add the e-mail to the record first.",
            code="email_missing",
            pointer="/email",
        )
    if diver.user_id is not None:
        raise UnableToManageAccount(
            f"{diver.name} has an account already.",
            "Change its role, or make a new password for it.",
            code="has_account",
        )
    user = User.objects.filter(email__iexact=diver.email).first()
    other = user and Diver.objects.filter(club=diver.club, user=user).first()
    if other:
        raise UnableToManageAccount(
            f"The account of {diver.email} belongs to the record of {other.name}.",
            "Give each of the two records its own e-mail.",
            code="account_of_another",
            pointer="/email",
        )
    password = None
    if user is None:
        password = one_time_password()
        user = User.objects.create_user(diver.email, password, date_joined=now)
    member, _ = Membership.objects.get_or_create(club=diver.club, user=user, defaults={"role": role})
    diver.user = user
    diver.save(update_fields=["user"])
    return Account(user, member.role, password)


@transaction.atomic
def change_account(*, diver: Diver, by: User, role: str | None = None, new_password: bool = False) -> Account:
    """Another role, or a new password for whoever lost theirs. Raises UnableToManageAccount."""
    _allowed(by, diver.club)
    member = _member(diver)
    if role is not None:
        _keeps_organiser(member, role)
        member.role = role
        member.save(update_fields=["role"])
    if not new_password:
        return Account(member.user, member.role)
    user = member.user
    if not rules.may_make_password(
        clubs=user.memberships.count(), keeps_installation=user.is_staff or user.is_superuser
    ):
        raise UnableToManageAccount(
            f"The account of {diver.name} is not this club's alone.",
            "Ask whoever keeps this installation for a new password.",
            code="not_ours_alone",
        )
    password = one_time_password()
    user.set_password(password)
    user.save(update_fields=["password"])
    return Account(user, member.role, password)


@transaction.atomic
def take_account(*, diver: Diver, by: User) -> None:
    """The account is of this club no more and reads nothing of it; the record stays. Raises UnableToManageAccount."""
    _allowed(by, diver.club)
    member = _member(diver)
    _keeps_organiser(member, None)
    member.delete()
    diver.user = None
    diver.save(update_fields=["user"])


@transaction.atomic
def start_club(
    *, name: str, organiser: str, now: datetime, time_zone: str = "UTC", new_password: bool = False
) -> tuple[Account, bool]:
    """A club and whoever organises it, for a book that has no way in yet; (account, whether the club is new).

    Again it changes nothing, but adds an organiser who was none, and makes a new password where that is asked.
    Raises UnableToManageAccount, or UnableToChangeClub for a name or zone that cannot be.
    """
    organiser = organiser.strip().lower()
    try:
        validate_email(organiser)
    except ValidationError:
        raise UnableToManageAccount(
            f"“{organiser}” is no e-mail address.",
            "Give the address by which the organiser signs in.",
            code="email_invalid",
            pointer="/organiser",
        ) from None
    if not name.strip():
        raise UnableToManageAccount(
            "A club needs a name.", "Give it one.", code="name_missing", pointer="/name"
        )
    club = Club.objects.filter(name=name.strip()).first()
    made = club is None
    if club is None:
        club = services.add_club(name=name.strip(), time_zone=time_zone)
    user = User.objects.filter(email__iexact=organiser).first()
    password = one_time_password() if user is None or new_password else None
    user = services.add_member(club=club, email=organiser, role=rules.ORGANISER, password=password)
    if user.date_joined is None:
        user.date_joined = now
        user.save(update_fields=["date_joined"])
    return Account(user, rules.ORGANISER, password), made


def _allowed(by: User, club: Club) -> None:
    if not rules.role_may(selectors.role_of(by, club), "manage_accounts"):
        raise UnableToManageAccount(
            "Only an organiser of the club gives and takes accounts.", "Ask one.", code="organisers_only"
        )


def _member(diver: Diver) -> Membership:
    """The membership of the diver's account, with its club held against a change beside this one."""
    Club.objects.select_for_update().get(pk=diver.club_id)
    member = (
        Membership.objects.filter(club=diver.club_id, user=diver.user_id).select_related("user").first()
        if diver.user_id is not None
        else None
    )
    if member is None:
        raise UnableToManageAccount(
            f"{diver.name} has no account in this club.", "Give one first.", code="no_account"
        )
    return member


def _keeps_organiser(member: Membership, after: str | None) -> None:
    organisers = Membership.objects.filter(club=member.club_id, role=rules.ORGANISER).count()
    if rules.leaves_no_organiser(member.role, after, organisers):
        raise UnableToManageAccount(
            "The club would have no organiser.",
            "Make someone else an organiser first.",
            code="last_organiser",
            pointer="/role",
        )
