"""What `teams` asks beyond `plan`: demands, experience, fitness.

Units at the border: depths in `depth_unit`, currents in knots, visibility in metres, temperatures in
degrees Celsius become whole numbers as in `pairing.model`. A harder demand or an easier past dive is
never rounded the other way: demands go to the harder hundredth, past dives to the easier.
"""

from __future__ import annotations

from dataclasses import replace

from teamdive.calculations.asked_reading import read_ids
from teamdive.calculations.body import Fields
from teamdive.calculations.problem import pointer
from teamdive.calculations.team_reading import Reading, read_date
from teamdive.pairing.model import Demands, Done, Experience, Person, Task
from teamdive.physics.diver import Diver, TeamDive
from teamdive.physics.rounding import scaled_down, scaled_up
from teamdive.physics.units import DepthUnit

MOST_DONE = 2000
MOST_WORDS = 20
MOST_MENTORED = 100
MOST_COUNT = 20_000
DEEPEST_DONE = {"m": 350.0, "ft": 1150.0}
MOST_KN = 10
MOST_VISIBILITY_M = 200
COLDEST_C, WARMEST_C = -3, 45


def day_number(text: str | None) -> int | None:
    """2027-06-12 as 20270612."""
    return None if text is None else int(text[:4]) * 10000 + int(text[5:7]) * 100 + int(text[8:])


def read_on(body: Fields, reading: Reading) -> tuple[Reading, int]:
    """The day of the dive: ages and freshness are reckoned on it, so it has to be there.

    After an error a day far ahead stands in, so that it is said once and no date counts as too late.
    """
    if reading.on is None and not body.has("on"):
        body.required("on", "Give the date of the dive as YYYY-MM-DD.")
    on = reading.on or "9999-12-31"
    return replace(reading, on=on), int(on.replace("-", ""))


def read_demand_fields(dive: Fields) -> tuple[Fields | None, float | None]:
    """The `demands` object and its current, which the physics takes where the dive states none."""
    fields = dive.fields_or_none("demands")
    return fields, None if fields is None else fields.number_or_none("current_kn", 0, MOST_KN, "knots")


def read_demands(fields: Fields | None, dive: Fields, current_kn: float | None, plan: TeamDive) -> Demands:
    """The demands of the dive; its own current and temperature stand in where `demands` gives none."""
    own = dive.value.get("current_kn") is not None
    current = current_kn if current_kn is not None else plan.current_kn if own else None
    temperature = _again(dive, "water_temp_c", COLDEST_C, WARMEST_C)
    visibility, night, task = None, False, None
    site: tuple[str, ...] = ()
    if fields is not None:
        visibility = fields.number_or_none("visibility_m", 0, MOST_VISIBILITY_M, "m")
        stated = fields.number_or_none("water_temp_c", COLDEST_C, WARMEST_C, "°C")
        temperature = temperature if stated is None else stated
        night = fields.flag("night")
        task = _task(fields, 1)
        site = _words(fields, "site_kind") or ()
        fields.close()
    return Demands(
        unit=plan.depth.unit,
        depth=plan.depth.hundredths,
        current=None if current is None else scaled_up(current, 1000),
        visibility=None if visibility is None else scaled_down(visibility, 100),
        water_temp=None if temperature is None else scaled_down(temperature, 10),
        night=night,
        task=task,
        site=site,
    )


def _words(fields: Fields, name: str) -> tuple[str, ...] | None:
    """Short words, each once, in the order of the alphabet; None when absent."""
    items = fields.array_or_none(name, 0, MOST_WORDS)
    found: list[str] = []
    for i, item in enumerate(items or []):
        at = pointer(fields.pointer(name), i)
        if not isinstance(item, str) or not 1 <= len(item) <= 100:
            fields.errors.add(at, "wrong_type", "Must be text in quotes, 1 to 100 characters.")
        elif item in found:
            fields.errors.add(at, "duplicate", "This word stands here twice.")
        else:
            found.append(item)
    return None if items is None else tuple(sorted(found))


def _again(fields: Fields, name: str, least: float, most: float) -> float | None:
    """A number that was read once already, which said what is wrong with it."""
    before = len(fields.errors.found)
    value = fields.number_or_none(name, least, most)
    del fields.errors.found[before:]
    return value


def _task(fields: Fields, least: int) -> Task | None:
    task = fields.fields_or_none("task")
    if task is None:
        return None
    kind = task.text("kind", 100)
    level = task.integer("level", least, 5)
    task.close()
    return Task(kind, level) if level > 0 else None


def read_person(fields: Fields, diver: Diver, unit: DepthUnit, on: int) -> Person:
    """What pairing asks of a diver beyond the physics. Closes `fields`."""
    role = fields.choice_or_none("role", ("leader", "diver"))
    experience = fields.fields_or_none("experience")
    person = Person(
        id=diver.id,
        leader=None if role is None else role == "leader",
        supervised=fields.get("supervised") is True,
        certified_depth=None if diver.certified_depth is None else diver.certified_depth.hundredths,
        born=_date_again(fields, "born"),
        guardians=tuple(read_ids(fields, "guardians", 0, 10)),
        guardian_consent=fields.flag_or_none("guardian_consent"),
        fitness=fields.choice_or_none("fitness", ("in_date", "out_of_date", "restricted", "unfit")),
        experience=None if experience is None else _experience(experience, unit, on),
        own_task=fields.flag("own_task"),
        certified_until=day_number(read_date(fields, "certified_until")),
        new_equipment=_words(fields, "new_equipment") or (),
        shares_gas_by=_words(fields, "shares_gas_by"),
        signals=_words(fields, "signals"),
        dived_with=tuple(read_ids(fields, "dived_with", 0, MOST_DONE)) if fields.has("dived_with") else None,
        mentor_debt=fields.integer_or_none("mentor_debt", 0, MOST_MENTORED) or 0,
    )
    fields.close()
    return person


def _date_again(fields: Fields, name: str) -> int | None:
    """A date that was read once already, which said what is wrong with it."""
    before = len(fields.errors.found)
    day = day_number(read_date(fields, name))
    del fields.errors.found[before:]
    return day


def _day(fields: Fields, name: str, on: int) -> int | None:
    day = day_number(read_date(fields, name))
    if day is not None and day > on:
        fields.fail(name, "out_of_order", "This date is after the day of the dive.")
    return day


def _experience(fields: Fields, unit: DepthUnit, on: int) -> Experience:
    fields.integer_or_none("dives", 0, MOST_COUNT)
    last_year = fields.integer_or_none("dives_last_year", 0, MOST_COUNT)
    last_dive = _day(fields, "last_dive", on)
    items = fields.list_of_fields_or_none("done", 0, MOST_DONE)
    done = None if items is None else tuple(_done(item, unit, on) for item in items)
    fields.close()
    return Experience(last_dive, done, last_year)


def _done(item: Fields, unit: DepthUnit, on: int) -> Done:
    at = item.number("depth", 0, DEEPEST_DONE[unit], unit, above=True)
    if not item.has("on"):
        item.required("on", "Give the date of the latest of these dives as YYYY-MM-DD.")
    current = item.number_or_none("current_kn", 0, MOST_KN, "knots")
    visibility = item.number_or_none("visibility_m", 0, MOST_VISIBILITY_M, "m")
    temperature = item.number_or_none("water_temp_c", COLDEST_C, WARMEST_C, "°C")
    count = item.integer_or_none("count", 1, MOST_COUNT)
    done = Done(
        depth=scaled_down(at, 100),
        on=_day(item, "on", on) or on,
        current=None if current is None else scaled_down(current, 1000),
        visibility=None if visibility is None else scaled_up(visibility, 100),
        water_temp=None if temperature is None else scaled_up(temperature, 10),
        night=item.flag("night"),
        task=_task(item, 0),
        count=1 if count is None else count,
        site=_words(item, "site_kind") or (),
    )
    item.close()
    return done
