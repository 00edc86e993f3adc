"""Who may read a log: whoever may read the diver's record. Who may add to it: an organiser of the club, since it
decides with whom a diver may dive, and nobody vouches for themselves."""

import rules

from teamdive.people.permissions import by_role, is_own_record

rules.add_perm("logbook.read_log", is_own_record | by_role("read_divers"))
rules.add_perm("logbook.write_log", by_role("change_divers"))
