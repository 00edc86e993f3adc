"""What the scheduler sends, as plain data: a sweep every two seconds.

`expires` lets a worker that was away drop the sweeps that piled up: one sweep does all that is due.
"""

BEAT = {
    "reminders-sweep": {
        "task": "teamdive.reminders.tasks.sweep",
        "schedule": 2.0,
        "options": {"expires": 10},
    }
}
