"""Who may read a log: whoever may read the diver's record. Who may add to it: an organiser of the club, since it
decides with whom a diver may dive, and nobody vouches for themselves. A sheet of past dives may be brought by
whoever plans trips; a leader's sheet holds no dives of their own, and is answered by that leader or an organiser."""

from typing import Any

import rules

from teamdive.people.models import ImportedSheet
from teamdive.people.permissions import by_role, is_own_record


@rules.predicate
def brought_it(user: Any, brought: ImportedSheet | None) -> bool:
    return brought is not None and brought.made_by_id is not None and brought.made_by_id == user.pk


rules.add_perm("logbook.read_log", is_own_record | by_role("read_divers"))
rules.add_perm("logbook.confirm_dives", is_own_record)
rules.add_perm("logbook.write_log", by_role("change_divers"))
rules.add_perm("logbook.bring_past_dives", by_role("plan_trips"))
rules.add_perm("logbook.answer_past_dives", by_role("change_divers") | (by_role("plan_trips") & brought_it))
