"""Teams of a dive: what was asked and answered, with whom somebody would rather not dive, what was announced."""

from __future__ import annotations

from django.db import models
from django.db.models import F, Q

from teamdive.people.models import Diver, Row, User


class Proposal(Row):
    """What was asked of the pairing and what it answered, kept so that every team can say why."""

    dive = models.ForeignKey("Dive", on_delete=models.CASCADE, related_name="proposals")
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    asked = models.JSONField()
    answer = models.JSONField()
    # SHA-256 of the question it answered: another question now means that the facts have changed.
    rests_on = models.CharField(max_length=64, blank=True, editable=False)

    class Meta:
        ordering = ["-made_at", "id"]

    def __str__(self) -> str:
        return f"{self.dive}: {self.answer.get('status')}"


class RatherNot(Row):
    """Somebody would rather not dive with somebody: weighed by pairing, told to nobody else, no reason asked."""

    diver = models.ForeignKey(Diver, on_delete=models.CASCADE, related_name="rather_nots")
    about = models.ForeignKey(Diver, on_delete=models.CASCADE, related_name="+")
    entered_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    entered_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["diver", "about"], name="one_rather_not_a_pair"),
            models.CheckConstraint(condition=~Q(diver=F("about")), name="rather_not_about_another"),
        ]


class Team(Row):
    """Two or three divers announced for one dive, with the plan they were shown."""

    dive = models.ForeignKey("Dive", on_delete=models.CASCADE, related_name="teams")
    number = models.PositiveSmallIntegerField()
    lead = models.ForeignKey("Booking", null=True, blank=True, on_delete=models.PROTECT, related_name="leads")
    plan = models.JSONField(null=True, blank=True)
    reasons = models.JSONField(default=list, blank=True)
    guided = models.BooleanField(
        default=False, help_text="a guided group: one leader and those in their care"
    )
    announced_at = models.DateTimeField()
    announced_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ["dive", "number"]
        constraints = [models.UniqueConstraint(fields=["dive", "number"], name="one_team_a_number")]

    def __str__(self) -> str:
        return f"team {self.number} of {self.dive}"


class TeamMember(Row):
    team = models.ForeignKey(Team, on_delete=models.CASCADE, related_name="members")
    # Repeated from the team so that the database itself keeps a person out of two teams of one dive.
    dive = models.ForeignKey("Dive", on_delete=models.CASCADE, related_name="team_members")
    booking = models.ForeignKey("Booking", on_delete=models.PROTECT, related_name="team_members")
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["team", "position"]
        constraints = [
            models.UniqueConstraint(fields=["dive", "booking"], name="one_team_a_person_and_dive"),
            models.UniqueConstraint(fields=["team", "position"], name="one_member_a_position"),
        ]

    def __str__(self) -> str:
        return f"{self.booking} in {self.team}"
