"""The kinds of entries only grow: what older phones wrote is read by every newer one."""

from teamdive.boatlog import schema, snapshot
from teamdive.boatlog.entries import body, problems
from tests.boat_scene import Phone, trip_body

# The kinds as first published, with what each asks for: never removed, and never asking for more.
FIRST = {
    "aboard": [],
    "ashore": [],
    "back_aboard": [],
    "briefed": ["people"],
    "clock_compared": ["offset_ms", "error_ms"],
    "correction": ["reason", "void"],
    "deck_accepted": ["from"],
    "deck_handed_over": ["from"],
    "departed": ["place"],
    "depth_reported": ["dive", "depth"],
    "dive_called_off": [],
    "down": ["dive", "members"],
    "emergency_ended": [],
    "emergency_started": [],
    "gas_checked": ["cylinder", "pressure", "o2_pm", "analysed_by"],
    "held_from_diving": ["released"],
    "incident": [],
    "joined": ["role", "dives", "can_lead"],
    "left_bottom": [],
    "marker_seen": [],
    "note": [],
    "overdue_quieted": ["until"],
    "override": ["rule", "with"],
    "person_went_in": [],
    "phone_lost": [],
    "plan_changed": ["depth", "bottom_time_s", "run_time_s"],
    "roll_call_taken": ["count", "seen", "method"],
    "separated": ["people"],
    "sits_out": ["dive"],
    "snapshot_taken": ["hash"],
    "surface_cover_confirmed": ["boat_handler", "lookout", "oxygen", "standby"],
    "surfaced": ["people"],
    "surfaced_alone": ["team"],
    "team_changed": ["dive", "members", "lead"],
    "team_check_done": ["lines", "pressures"],
    "transferred": ["to"],
    "turned": [],
}


def test_what_the_first_phones_wrote_is_still_read() -> None:
    for kind, fields in FIRST.items():
        assert set(schema.ENTRY["$defs"][kind].get("required", [])) == set(fields), kind
    phone = Phone("p1")
    old = [
        phone.write("held_from_diving", "a", "10:00", released=False),
        phone.write("transferred", "b", "10:00", to="vessel"),
        phone.write(
            "surface_cover_confirmed",
            "d1",
            "10:00",
            boat_handler=None,
            lookout=None,
            oxygen=None,
            standby=None,
        ),
        phone.met("10:01", "abcd"),
    ]
    assert [problems(body(entry)) for entry in old] == [[], [], [], []]
    assert snapshot.read(trip_body()).settings.counts_needed is None
