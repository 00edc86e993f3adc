"""A diver at the surface after the dives entered, in the terms of physics.

Whatever is disputed takes the safe end: the longest bottom time, the shortest interval, the deepest
depth reported in the team. Nothing stands in for a depth that nobody reported.
"""

from dataclasses import dataclass

from teamdive.boatlog.claims import decided
from teamdive.boatlog.facts import Facts
from teamdive.boatlog.fold import State
from teamdive.boatlog.order import told
from teamdive.boatlog.snapshot import Person
from teamdive.physics import dive as physics
from teamdive.physics.dive import NitrogenState
from teamdive.physics.earlier import EarlierDive, state_before
from teamdive.physics.known import Missing
from teamdive.physics.no_fly import Breathed, breathed
from teamdive.physics.oxygen import Mix
from teamdive.physics.profile import DAY_S
from teamdive.physics.units import Depth

DAY_MS = DAY_S * 1000


@dataclass(frozen=True)
class Surfaced:
    """A diver at the surface: nitrogen then, when (ms; None: no dive on this trip), dives, days and gas for flying."""

    nitrogen: NitrogenState
    at: int | None
    dives: int
    days: int | None
    breathed: Breathed


def surfaced(state: State, person: str, known: Facts, safe: bool = True) -> Surfaced | Missing:
    """The diver after all dives entered. `safe` False: the other end of what is disputed, never to act on."""
    settings = settings_of(state)
    attempts = known.attempts.get(person, [])
    unseen = [attempt for attempt in attempts if attempt.surfaced is None]
    if unseen:
        return Missing(tuple(f"surfacing from {_name(state, attempt.dive)}" for attempt in unseen))
    if known.held.get(person, False):
        return Missing(("release of a diver held from diving",))
    listed = next((each for each in state.snapshot.people if each.id == person), None)
    earlier = None if listed is None else listed.earlier_dives
    start = attempts[0].down[0] if attempts else state.snapshot.starts_at
    nitrogen = _before(listed, start, settings)
    dives, last = len(earlier or ()), None
    gases = [Mix(dive.o2_pm * 10, True) for dive in earlier or ()]
    for attempt in attempts:
        span, times = attempt.surfaced or attempt.down, attempt.bottom_time_s or (0, 0)
        down = attempt.down[0] if safe else attempt.down[1]
        if last is not None:
            nitrogen = physics.wait(nitrogen, max(0, (down - last) // 1000))
        last = span[1] if safe else span[0]
        mix = mix_of(state, person, attempt.dive, attempt.down[1])
        gases.append(mix)
        if attempt.depth is None:
            nitrogen = physics.unknown_state(f"reported depth of {_name(state, attempt.dive)}")
            dives += 1
            continue
        depth = Depth(attempt.depth["hundredths"], attempt.depth["unit"])
        bottom_s = times[1] if safe else times[0]
        made = physics.Dive(depth, bottom_s, mix)
        answer, nitrogen = physics.after(nitrogen, made, settings)
        dives += 0 if answer.joined else 1
    one_day = earlier == () and bool(attempts) and (last or 0) - attempts[0].down[0] < DAY_MS
    return Surfaced(nitrogen, last, dives, 1 if one_day else None, breathed(gases))


def settings_of(state: State) -> physics.Settings:
    rules = state.snapshot.settings
    return physics.Settings(
        method=rules.method,  # type: ignore[arg-type]  # the snapshot's schema allows these three only
        gf_low_pm=rules.gf_low_pm,
        gf_high_pm=rules.gf_high_pm,
        descent=Depth(rules.descent_cm_min, "m"),
        ascent=Depth(rules.ascent_cm_min, "m"),
        rest_s=(rules.rest_after_beyond_limit_min or DAY_S // 60) * 60,
    )


def _before(listed: Person | None, start: int, settings: physics.Settings) -> NitrogenState:
    """The diver at the start of the first dive of this trip (ms), from the dives made before it."""
    if listed is None or listed.earlier_dives is None:
        return state_before(None, settings)
    made = tuple(
        EarlierDive(
            Depth(dive.depth["hundredths"], dive.depth["unit"]),
            dive.bottom_time_s,
            Mix(dive.o2_pm * 10, True),
            max(0, (start - dive.surfaced_at) // 1000),
        )
        for dive in listed.earlier_dives
    )
    return state_before(made, settings)


def mix_of(state: State, person: str, dive: str, before: int) -> Mix:
    """The gas of a diver on a dive: the last cylinder checked before `before` (ms), else the one planned."""
    checks = [
        claim
        for claim in decided(state, "gas_checked")
        if claim.entry.subject == person and claim.at <= before
    ]
    last = max(checks, key=lambda claim: told(claim.at, claim.entry), default=None)
    if last is not None:
        o2_pm = last.data["o2_pm"]
        return Mix(None if o2_pm is None else o2_pm * 10, last.data["analysed_by"] == person)
    for planned in state.snapshot.dives:
        for team in planned.teams if planned.id == dive else ():
            for diver in team.divers:
                if diver.id == person and diver.o2_pm is not None:
                    return Mix(diver.o2_pm * 10, True)
    return Mix(None, False)


def _name(state: State, dive: str) -> str:
    number = next((planned.number for planned in state.snapshot.dives if planned.id == dive), None)
    return "a dive that was not planned" if number is None else f"dive {number}"
