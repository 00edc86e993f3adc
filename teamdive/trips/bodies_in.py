"""The bodies that the doors of trips take, checked field by field."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from rest_framework import serializers

from teamdive.calculations.asked_reading import MOST_ALTERNATIVES, MOST_IN_GROUP
from teamdive.calculations.team_reading import MOST_KN, SLOWEST_SWIM_KN
from teamdive.logbook.rules import words
from teamdive.pairing.model import COVER_ROLES

from .models import Booking, Dive


class WholeBody(serializers.Serializer[Any]):
    """One value of several parts: a change of it gives all of them."""

    def to_internal_value(self, data: Any) -> Any:
        checked = super().to_internal_value(data)
        lacking = [name for name, part in self.fields.items() if part.required and name not in checked]
        if lacking:
            raise serializers.ValidationError({name: ["This field is required."] for name in lacking})
        return checked


class DepthBody(WholeBody):
    unit = serializers.ChoiceField(choices=["m", "ft"])
    hundredths = serializers.IntegerField(min_value=1, max_value=100_000)


class TripBody(serializers.Serializer[Any]):
    club = serializers.UUIDField()
    name = serializers.CharField(max_length=120)
    starts_at = serializers.DateTimeField()
    boat = serializers.UUIDField(required=False, allow_null=True)


class EarlierDiveBody(serializers.Serializer[Any]):
    """A dive before the trip; `surfaced_at` in milliseconds since 1970 UTC."""

    depth = DepthBody()
    bottom_time_s = serializers.IntegerField(min_value=1, max_value=86_400)
    o2_pm = serializers.IntegerField(min_value=160, max_value=1000, default=210)
    surfaced_at = serializers.IntegerField(min_value=0, max_value=9_007_199_254_740_991)

    def to_internal_value(self, data: Any) -> Any:
        checked = super().to_internal_value(data)
        return {**checked, "depth": dict(checked["depth"])}


class BookingBody(serializers.Serializer[Any]):
    diver = serializers.UUIDField(required=False, allow_null=True)
    name = serializers.CharField(max_length=120, required=False, allow_blank=True)
    role = serializers.ChoiceField(choices=Booking.Role.values, required=False)
    dives = serializers.BooleanField(required=False)
    earlier_dives = EarlierDiveBody(many=True, required=False, allow_null=True, max_length=100)
    flies_at = serializers.DateTimeField(required=False, allow_null=True)
    boat = serializers.UUIDField(required=False, allow_null=True)


class TaskBody(WholeBody):
    kind = serializers.CharField(max_length=40)
    level = serializers.IntegerField(min_value=1, max_value=5)


class DemandsBody(serializers.Serializer[Any]):
    current_kn = serializers.DecimalField(4, 2, min_value=0, max_value=10, required=False, allow_null=True)
    visibility_m = serializers.DecimalField(5, 1, min_value=0, max_value=200, required=False, allow_null=True)
    water_temp_c = serializers.DecimalField(4, 1, min_value=-3, max_value=45, required=False, allow_null=True)
    night = serializers.BooleanField(required=False)
    task = TaskBody(required=False, allow_null=True)
    site_kind = serializers.ListField(
        child=serializers.CharField(max_length=40), required=False, max_length=10
    )


class AlongBody(WholeBody):
    first = serializers.ChoiceField(choices=Dive.Along.values)
    swim_kn = serializers.DecimalField(
        4, 2, min_value=Decimal(str(SLOWEST_SWIM_KN)), max_value=Decimal(str(MOST_KN))
    )


class DiveBody(serializers.Serializer[Any]):
    site = serializers.UUIDField(required=False, allow_null=True)
    planned_at = serializers.DateTimeField(required=False, allow_null=True)
    depth = DepthBody()
    bottom_time_s = serializers.IntegerField(min_value=60, max_value=86_400)
    work = serializers.ChoiceField(choices=Dive.Work.values, required=False)
    turn_rule = serializers.ChoiceField(choices=Dive.TurnRule.values, required=False, allow_null=True)
    along_current = AlongBody(required=False, allow_null=True)
    task_unit_min = serializers.IntegerField(min_value=1, max_value=240, required=False, allow_null=True)
    demands = DemandsBody(required=False)
    left_out = serializers.ListField(child=serializers.UUIDField(), required=False, max_length=500)

    def get_fields(self) -> dict[str, Any]:
        # `return` is the field's name on the wire and a word of Python.
        return {
            **super().get_fields(),
            "return": serializers.ChoiceField(choices=Dive.Return.values, required=False),
        }


def dive_fields(body: dict[str, Any]) -> dict[str, Any]:
    """A dive's columns from its body; only what the body says."""
    fields = {
        k: v
        for k, v in body.items()
        if k in {"site", "planned_at", "bottom_time_s", "work", "left_out", "task_unit_min"}
    }
    if "turn_rule" in body:
        fields["turn_rule"] = body["turn_rule"] or ""
    if "along_current" in body:
        along = body["along_current"] or {"first": "", "swim_kn": None}
        fields["along_current"], fields["swim_kn"] = along["first"], along["swim_kn"]
    if "return" in body:
        fields["return_to"] = body["return"]
    if "depth" in body:
        fields["depth_unit"], fields["depth_hundredths"] = body["depth"]["unit"], body["depth"]["hundredths"]
    asked = body.get("demands", {})
    fields |= {k: asked[k] for k in ("current_kn", "visibility_m", "water_temp_c", "night") if k in asked}
    if "site_kind" in asked:
        fields["site_kind"] = words(asked["site_kind"])
    if "task" in asked:
        task = asked["task"]
        # Pairing compares kinds as they stand, so they are kept in one case.
        kind, level = (task["kind"].strip().lower(), task["level"]) if task else ("", None)
        fields["task_kind"], fields["task_level"] = kind, level
    return fields


class GasBody(serializers.Serializer[Any]):
    cylinder = serializers.CharField(max_length=40)
    volume = serializers.DecimalField(6, 2, min_value=0)
    volume_unit = serializers.ChoiceField(choices=["l", "cuft"])
    working_pressure = serializers.IntegerField(min_value=50, max_value=6000)
    pressure_unit = serializers.ChoiceField(choices=["bar", "psi"])
    start_pressure = serializers.IntegerField(min_value=0, max_value=6000, required=False, allow_null=True)
    o2_pm = serializers.IntegerField(min_value=210, max_value=400, required=False)
    analysed_o2_pm = serializers.IntegerField(min_value=200, max_value=400, required=False, allow_null=True)
    analysed_by = serializers.UUIDField(required=False, allow_null=True)


class WishBody(serializers.Serializer[Any]):
    kind = serializers.ChoiceField(choices=["together", "apart"])
    divers = serializers.ListField(child=serializers.UUIDField(), min_length=2, max_length=3)
    strength = serializers.ChoiceField(choices=["must", "prefer"])

    def to_internal_value(self, data: Any) -> Any:
        checked = super().to_internal_value(data)
        return {**checked, "divers": [str(person) for person in checked["divers"]]}


class OverrideBody(serializers.Serializer[Any]):
    rule = serializers.CharField(max_length=60)
    diver = serializers.UUIDField()
    reason = serializers.CharField(max_length=500)

    def to_internal_value(self, data: Any) -> Any:
        checked = super().to_internal_value(data)
        return {**checked, "diver": str(checked["diver"])}


class Person(serializers.UUIDField):
    def to_internal_value(self, data: Any) -> Any:
        return str(super().to_internal_value(data))


def groups(most: int = 3) -> serializers.ListField:
    return serializers.ListField(
        child=serializers.ListField(child=Person(), min_length=2, max_length=most),
        required=False,
        max_length=400,
    )


class PressureBody(serializers.Serializer[Any]):
    unit = serializers.ChoiceField(choices=["bar", "psi"])
    value = serializers.IntegerField(min_value=50, max_value=6000)

    def to_internal_value(self, data: Any) -> Any:
        return dict(super().to_internal_value(data))


class CoverBody(serializers.Serializer[Any]):
    role = serializers.ChoiceField(choices=COVER_ROLES)
    person = serializers.UUIDField()

    def to_internal_value(self, data: Any) -> Any:
        checked = super().to_internal_value(data)
        return {**checked, "person": str(checked["person"])}


class SolveBody(serializers.Serializer[Any]):
    wishes = WishBody(many=True, required=False)
    locked = groups()
    forbidden = groups()
    why_not = groups()
    guided = groups(MOST_IN_GROUP)
    overrides = OverrideBody(many=True, required=False)
    out_of_water = serializers.ListField(child=Person(), required=False, max_length=500)
    surface_cover = CoverBody(many=True, required=False)
    expect_gas = PressureBody(required=False, allow_null=True)
    alternatives = serializers.IntegerField(min_value=0, max_value=MOST_ALTERNATIVES, required=False)
    drop_outs = serializers.BooleanField(required=False)
    robust = serializers.BooleanField(required=False)
    least_change = serializers.BooleanField(required=False)


class RatherNotBody(serializers.Serializer[Any]):
    about = serializers.ListField(child=serializers.UUIDField(), max_length=100)


class WaveBody(serializers.Serializer[Any]):
    """`boat`: which of the day's boats it dives from, where several go."""

    id = serializers.CharField(max_length=100)
    boat = Person(required=False)
    divers = serializers.IntegerField(min_value=2, max_value=30)
    leader_needed = serializers.BooleanField(required=False)
    surface_cover = CoverBody(many=True, required=False)


class DayDiveBody(serializers.Serializer[Any]):
    dive = serializers.UUIDField()
    wishes = WishBody(many=True, required=False)
    locked = groups()
    forbidden = groups()
    guided = groups(MOST_IN_GROUP)
    overrides = OverrideBody(many=True, required=False)
    out_of_water = serializers.ListField(child=Person(), required=False, max_length=500)
    surface_cover = CoverBody(many=True, required=False)
    waves = WaveBody(many=True, required=False)


class DayBoatBody(serializers.Serializer[Any]):
    """`aboard`: who has a fixed seat on it, crew and guests included; the divers' seats are what is left."""

    boat = serializers.UUIDField()
    aboard = serializers.ListField(child=Person(), required=False, max_length=400)
    surface_cover = CoverBody(many=True, required=False)


class DayBody(serializers.Serializer[Any]):
    partners = serializers.ChoiceField(choices=["either", "keep", "change"], required=False)
    cost_s = serializers.IntegerField(min_value=0, max_value=86_400, required=False)
    expect_gas = PressureBody(required=False, allow_null=True)
    boats = DayBoatBody(many=True, required=False)
    dives = DayDiveBody(many=True, required=False)


class TeamBody(serializers.Serializer[Any]):
    members = serializers.ListField(child=serializers.UUIDField(), min_length=1, max_length=12)
    lead = serializers.UUIDField(required=False, allow_null=True)
    guided = serializers.BooleanField(required=False)


class DayTeamBody(TeamBody):
    boat = serializers.UUIDField(required=False, allow_null=True)


class TeamsBody(serializers.Serializer[Any]):
    teams = TeamBody(many=True)
    proposal = serializers.UUIDField(required=False, allow_null=True)
    overrides = OverrideBody(many=True, required=False)


class DayDiveTeamsBody(serializers.Serializer[Any]):
    dive = serializers.UUIDField()
    teams = DayTeamBody(many=True)
    overrides = OverrideBody(many=True, required=False)
    surface_cover = CoverBody(many=True, required=False)


class DayTeamsBody(serializers.Serializer[Any]):
    dives = DayDiveTeamsBody(many=True, allow_empty=False)
    boats = DayBoatBody(many=True, required=False)
    expect_gas = PressureBody(required=False, allow_null=True)
