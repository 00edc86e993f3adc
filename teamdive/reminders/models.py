"""A reminder is a row that says who is told what and when; what was told is a message in the inbox."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.db.models import Q

from teamdive.people.models import Diver, Row, User
from teamdive.trips.models import ShoreContact, Trip

from . import rules, rules_shore


def _choices(values: Any) -> list[tuple[str, str]]:
    return [(value, value.replace("_", " ")) for value in values]


KINDS = (
    *rules.CALLS,
    *rules_shore.ALARMS,
    rules_shore.FLOAT_PLAN,
    rules_shore.ALARM_OVER,
    rules_shore.ALL_HOME,
    rules_shore.UNTAKEN,
)


class Reminder(Row):
    """One call to one person, once: unique by (kind, diver, subject), or ashore by (kind, contact, subject) and, of who
    leads in the club, (kind, user, subject). There the subject of an alarm holds the moment and the number of the
    call: a repeat is a row of its own.

    `try_at` is when a worker may take it: the due instant, or later after an error. `fence` names the
    claim that holds it until `leased_until`; whoever finishes must still hold that fence.
    """

    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="reminders")
    diver = models.ForeignKey(
        Diver, null=True, blank=True, on_delete=models.CASCADE, related_name="reminders"
    )
    contact = models.ForeignKey(
        ShoreContact, null=True, blank=True, on_delete=models.CASCADE, related_name="reminders"
    )
    user = models.ForeignKey(
        User, null=True, blank=True, on_delete=models.CASCADE, related_name="reminders_of_the_club"
    )
    kind = models.CharField(max_length=40, choices=_choices(KINDS))
    call = models.CharField(max_length=8, choices=_choices((rules.REMINDER, rules.ALARM)))
    subject = models.CharField(
        max_length=120, help_text="what it is about: the id of a dive, planned or done"
    )
    due_at = models.DateTimeField()
    facts = models.JSONField(default=dict, help_text="what its sentence and its reasons are made from")
    # False once the record no longer asks for it: a sent one keeps its state and only says so.
    stands = models.BooleanField(default=True)

    state = models.CharField(max_length=9, choices=_choices(rules.STATES), default=rules.WAITING)
    try_at = models.DateTimeField()
    fence = models.UUIDField(null=True, blank=True)
    leased_until = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    last_error = models.CharField(max_length=500, blank=True)
    made_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["due_at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "diver", "subject"], name="one_reminder_of_a_kind"),
            models.UniqueConstraint(fields=["kind", "contact", "subject"], name="one_call_ashore"),
            models.UniqueConstraint(fields=["kind", "user", "subject"], name="one_call_to_a_leader"),
            models.CheckConstraint(
                condition=Q(diver__isnull=False, contact__isnull=True, user__isnull=True)
                | Q(diver__isnull=True, contact__isnull=False, user__isnull=True)
                | Q(diver__isnull=True, contact__isnull=True, user__isnull=False),
                name="reminder_is_for_one",
            ),
            models.CheckConstraint(
                condition=Q(state=rules.CLAIMED, fence__isnull=False, leased_until__isnull=False)
                | (~Q(state=rules.CLAIMED) & Q(fence__isnull=True, leased_until__isnull=True)),
                name="claimed_has_its_lease",
            ),
        ]
        indexes = [
            models.Index(fields=["state", "try_at"], name="reminder_due"),
            models.Index(fields=["state", "leased_until"], name="reminder_lease"),
        ]

    def __str__(self) -> str:
        whom = self.diver_id or self.contact_id or self.user_id
        return f"{self.kind} for {whom} at {self.due_at:%Y-%m-%d %H:%M} ({self.state})"


class InboxMessage(Row):
    """What a user was told. It is written in the transaction that finishes its reminder, so once."""

    reminder = models.OneToOneField(Reminder, on_delete=models.CASCADE, related_name="message")
    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="inbox")
    text = models.TextField()
    due_at = models.DateTimeField(help_text="as it stood when this was sent")
    sent_at = models.DateTimeField()
    read_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-sent_at", "-id"]
        indexes = [models.Index(fields=["user", "-sent_at", "-id"], name="inbox_newest_first")]

    def __str__(self) -> str:
        return f"{self.user_id}: {self.text}"


class ShoreWatch(models.Model):
    """How far the duty ashore of a trip was looked at: at which change of its plan, at which position of its boat log,
    how it stood, and when time alone changes it."""

    trip = models.OneToOneField(Trip, primary_key=True, on_delete=models.CASCADE, related_name="shore_watch")
    plan_changed_at = models.DateTimeField()
    position = models.PositiveBigIntegerField(default=0)
    looked_at = models.DateTimeField()
    stands = models.CharField(max_length=16, blank=True)
    look_again_at = models.DateTimeField(null=True, blank=True, db_index=True)
    # A trip that cannot be looked at waits longer each time and holds up no other.
    attempts = models.PositiveSmallIntegerField(default=0)
    last_error = models.CharField(max_length=500, blank=True)

    class Meta:
        verbose_name_plural = "shore watches"

    def __str__(self) -> str:
        return f"{self.trip_id}: again at {self.look_again_at}"


class Seen(models.Model):
    """How far a trip's boat log has been taken in. A restored backup brings both back together."""

    trip = models.OneToOneField(
        Trip, primary_key=True, on_delete=models.CASCADE, related_name="reminders_seen"
    )
    position = models.PositiveBigIntegerField(default=0)
    # A log that cannot be taken in waits longer each time and holds up no other trip.
    attempts = models.PositiveSmallIntegerField(default=0)
    try_at = models.DateTimeField(null=True, blank=True)
    last_error = models.CharField(max_length=500, blank=True)

    class Meta:
        verbose_name_plural = "seen"

    def __str__(self) -> str:
        return f"{self.trip_id}: {self.position}"
