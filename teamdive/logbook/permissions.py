"""Who may read a log: whoever may read the diver's record."""

import rules

from teamdive.people.permissions import by_role, is_own_record

rules.add_perm("logbook.read_log", is_own_record | by_role("read_divers"))
