"""The server's copy of the boat logs: devices, entries as they came, texts beside them, and what they amount to."""

from __future__ import annotations

import uuid
from typing import Any, NoReturn

from django.db import models

from teamdive.people.models import Row, User
from teamdive.trips.models import Booking, Trip


class TripLog(models.Model):
    """One trip's log: its row is what is locked while positions are given, so that no reader skips one.

    `epoch` changes when the server was restored from a backup: phones then offer their whole set again.
    """

    trip = models.OneToOneField(Trip, primary_key=True, on_delete=models.PROTECT, related_name="boat_log")
    epoch = models.UUIDField(default=uuid.uuid4)
    last_position = models.PositiveBigIntegerField(default=0)

    def __str__(self) -> str:
        return f"boat log of {self.trip_id}"


class Device(Row):
    """A phone that a leader enrolled at the dock. Its token is kept only as a hash."""

    trip = models.ForeignKey(Trip, on_delete=models.PROTECT, related_name="devices")
    label = models.CharField(max_length=80)
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    public_key = models.TextField(blank=True, help_text="ECDSA P-256, SubjectPublicKeyInfo in base64")
    enrolled_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    enrolled_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    head_seq = models.PositiveBigIntegerField(null=True, editable=False)
    head_hash = models.CharField(max_length=64, blank=True, editable=False)
    head_signature = models.CharField(max_length=128, blank=True, editable=False)

    class Meta:
        ordering = ["enrolled_at", "id"]

    def __str__(self) -> str:
        return self.label


class JoinCode(models.Model):
    """A short code that a leader shows at the dock: whoever has it may enrol phones on the trip while it lasts.

    One at a time for a trip: the next one ends it. Kept only as a hash.
    """

    trip = models.OneToOneField(Trip, primary_key=True, on_delete=models.CASCADE, related_name="join_code")
    code_hash = models.CharField(max_length=64, unique=True, editable=False)
    made_by = models.ForeignKey(User, null=True, on_delete=models.SET_NULL, related_name="+")
    expires_at = models.DateTimeField()
    left = models.PositiveSmallIntegerField(help_text="phones that it still enrols")

    def __str__(self) -> str:
        return f"join code of {self.trip_id}"


class Immutable(Exception):
    """Somebody tried to change or delete an entry of the boat log. A correction is a new entry."""


class EntryQuerySet(models.QuerySet["Entry"]):
    def update(self, **kwargs: Any) -> NoReturn:
        raise Immutable("Entries of the boat log are not changed: enter a correction.")

    def delete(self) -> NoReturn:
        raise Immutable("Entries of the boat log are not deleted.")


class Entry(Row):
    """One entry, byte for byte as its phone wrote it. `mark` is the SHA-256 of all of it.

    Two entries of one `entry_id` are a fork or an alteration: both stay. `trouble` says what was wrong
    when it came; nothing is refused for it.
    """

    trip = models.ForeignKey(Trip, on_delete=models.PROTECT, related_name="entries")
    position = models.PositiveBigIntegerField()
    entry_id = models.UUIDField()
    mark = models.CharField(max_length=64)
    device_id = models.UUIDField()
    seq = models.PositiveBigIntegerField()
    hash = models.CharField(max_length=64)
    kind = models.CharField(max_length=64)
    body = models.TextField(help_text="RFC 8785 text of the entry")
    trouble = models.JSONField(default=list)
    received_at = models.DateTimeField()

    objects = EntryQuerySet.as_manager()

    class Meta:
        ordering = ["trip", "position"]
        constraints = [
            models.UniqueConstraint(fields=["trip", "position"], name="entry_one_position"),
            models.UniqueConstraint(fields=["trip", "mark"], name="entry_once"),
        ]
        indexes = [
            models.Index(fields=["trip", "device_id", "seq"], name="entry_chain"),
            models.Index(fields=["trip", "entry_id"], name="entry_by_id"),
        ]

    def __str__(self) -> str:
        return f"{self.position} {self.kind}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise Immutable("Entries of the boat log are not changed: enter a correction.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise Immutable("Entries of the boat log are not deleted.")


class Text(Row):
    """The words that an entry only names by their salted hash; they can be erased without breaking a chain."""

    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="text")
    salt = models.CharField(max_length=32, blank=True)
    text = models.TextField(blank=True)
    erased_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"text of {self.entry_id}"


class DiverStatus(Row):
    """What the boat log amounts to for one diver: written again whenever it grows, never by hand.

    `group` is that on surfacing from the last dive. A null beside a name in `not_known` is not known;
    without one there is none.
    """

    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="statuses")
    person = models.ForeignKey(Booking, on_delete=models.CASCADE, related_name="statuses")
    group = models.CharField(max_length=1, null=True, blank=True)
    surfaced_at = models.DateTimeField(null=True, blank=True)
    next_dive = models.UUIDField(null=True, blank=True)
    earliest_next_dive_at = models.DateTimeField(null=True, blank=True)
    no_fly_until = models.DateTimeField(null=True, blank=True)
    not_known = models.JSONField(default=dict, blank=True)
    why = models.JSONField(default=list, blank=True)
    questions = models.JSONField(default=list, blank=True)
    epoch = models.UUIDField()
    from_position = models.PositiveBigIntegerField()
    worked_out_at = models.DateTimeField()

    class Meta:
        ordering = ["trip", "person"]
        constraints = [models.UniqueConstraint(fields=["trip", "person"], name="status_once")]

    def __str__(self) -> str:
        return f"{self.person_id}: {self.group}"
