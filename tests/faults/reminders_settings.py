"""The installation's settings, with a witness as outside channel and a lease that the test chooses."""

import os

from teamdive.config.settings import *  # noqa: F403

TEAMDIVE_CHANNELS = ("tests.faults.reminders_witness.Witness",)
TEAMDIVE_REMINDER_LEASE_S = float(os.environ.get("TEST_LEASE_S", "2"))
