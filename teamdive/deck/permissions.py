"""Who may read and write a boat log: its trip's leaders and organisers, and the devices they enrolled."""

from __future__ import annotations

import rules

from teamdive.trips.permissions import is_booked, plans

rules.add_perm("deck.read_log", plans)
rules.add_perm("deck.write_log", plans)
rules.add_perm("deck.enrol_device", plans)
rules.add_perm("deck.settle", plans | is_booked)
