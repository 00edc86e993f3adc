"""The float plan of a trip: back by when, who ashore is told, and what was said about it since.

It stands beside the plan that is frozen: a boat that will be late changes it, and it is told again.
"""

from __future__ import annotations

from django.core.validators import MinValueValidator
from django.db import models

from teamdive.people.models import Diver, Row, User

from . import rules_shore as rules


class FloatPlan(Row):
    """What those ashore need of one trip. `back_by` null: nobody ashore is alarmed."""

    trip = models.OneToOneField("Trip", on_delete=models.CASCADE, related_name="float_plan")
    back_by = models.DateTimeField(
        null=True, blank=True, help_text="planned return at rough speed and a margin"
    )
    # A back-by time that is written anew says that the boat is out, whoever said before that all are home.
    back_by_at = models.DateTimeField(null=True, blank=True)
    # Where this installation reaches nobody ashore: who said that they are told another way, as the plan stands now.
    told_otherwise_by = models.CharField(max_length=120, blank=True)
    if_not_heard = models.TextField(blank=True, max_length=rules.LONGEST_WORDS)
    # Counts the changes, so that whoever tells the contacts sees that there is a new one.
    version = models.PositiveIntegerField(default=1, validators=[MinValueValidator(1)])
    changed_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.trip_id}: back by {self.back_by}"


class ShoreContact(Row):
    """Somebody ashore who is told the float plan and raises the alarm; the first is called first.

    One taken off stays as who was told what; `erase` blanks the name and how to reach them.
    """

    plan = models.ForeignKey(FloatPlan, on_delete=models.CASCADE, related_name="contacts")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=60, blank=True, help_text="read by people, called by nobody else")
    # Somebody of the club is told in the app as well, through the account that they have at that moment.
    diver = models.ForeignKey(
        Diver, null=True, blank=True, on_delete=models.SET_NULL, related_name="shore_contact_of"
    )
    removed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["plan", "position", "id"]

    def __str__(self) -> str:
        return self.name


class ShoreSaid(Row):
    """What a named person said about the duty ashore. Never changed: what is wrong is said anew."""

    plan = models.ForeignKey(FloatPlan, on_delete=models.CASCADE, related_name="said")
    what = models.CharField(
        max_length=16,
        choices=[(word, word.replace("_", " ")) for word in (*rules.SAYINGS, rules.TOLD_OTHERWISE)],
    )
    at = models.DateTimeField()
    by = models.CharField(max_length=120)
    contact = models.ForeignKey(
        ShoreContact, null=True, blank=True, on_delete=models.SET_NULL, related_name="said"
    )
    user = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["plan", "at", "id"]

    def __str__(self) -> str:
        return f"{self.what} said by {self.by}"
