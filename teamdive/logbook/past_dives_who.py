"""Whose dives each row tells of: by member number, else e-mail address, else name. Pure.

Nobody is guessed and no two people are merged: whoever these three do not settle is asked, with those it may be.
"""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches

from teamdive.people.imports_match import LEAVE_OUT, Known, KnownDivers, Match
from teamdive.people.imports_records import Record
from teamdive.people.imports_values import ERROR, QUESTION
from teamdive.people.rules import name_key

NOBODY = "The club's roster has nobody of that"
MOST_OFFERED = 4


class Who(KnownDivers):
    """The club's divers, found by what a row says of them."""

    def candidates(self, record: Record) -> list[Known]:
        """One diver where the row settles it, several of one name, or none; none too where something was said."""
        choice = self.choices.get(record.row)
        if choice in self.by_id:
            return [self.by_id[choice]]
        number, email = record.values.get("member_number"), record.values.get("email")
        found = [
            diver
            for diver in (self.by_member.get(str(number).casefold()), self.by_email.get(str(email)))
            if diver is not None
        ]
        if len(found) == 2 and found[0] is not found[1]:
            one, other = found
            record.say(
                "person",
                QUESTION,
                "two_people",
                f"The member number is of {one.name}, the e-mail address of {other.name}.",
                "Say whose dive it is.",
                *((diver.id, described(diver)) for diver in found),
                (LEAVE_OUT, "leave the row out"),
            )
            return []
        if found:
            return self._of_that_name(record, found[0])
        if record.name:
            return self._by_name(record, number, email)
        if number is not None or email is not None:
            what, value = ("member number", number) if number is not None else ("e-mail address", email)
            _not_known(record, f"{NOBODY} {what}: {value}.")
        return []

    def _of_that_name(self, record: Record, diver: Known) -> list[Known]:
        if not record.name or set(name_key(record.name).split()) & set(name_key(diver.name).split()):
            return [diver]
        record.say(
            "person",
            QUESTION,
            "name_differs",
            f"The row says {record.name}, but the member number or e-mail address is of {diver.name}.",
            "Say whose dive it is, or correct the row.",
            *((d.id, described(d)) for d in (diver, *self.by_name[name_key(record.name)])),
            (LEAVE_OUT, "leave the row out"),
        )
        return []

    def _by_name(self, record: Record, number: str | None, email: str | None) -> list[Known]:
        """By the name alone: of those of that name, whoever has another number or address is somebody else."""
        same = self.by_name[name_key(record.name)]
        fits = [
            diver for diver in same if not (number and diver.member_number) and not (email and diver.email)
        ]
        if fits:
            return fits
        if same:
            record.say(
                "person",
                QUESTION,
                "number_differs",
                f"The club's {record.name} has another member number or e-mail address than this row.",
                "Say whether it is the same person, or correct the row.",
                *((diver.id, f"the same person as {described(diver)}") for diver in same),
                (LEAVE_OUT, "leave the row out"),
            )
            return []
        close = self._close(record.name)
        if close:
            record.say(
                "person",
                QUESTION,
                "diver_not_known",
                f"{NOBODY} name: {record.name}.",
                "Say who is meant, correct the name, or leave the row out.",
                *((diver.id, described(diver)) for diver in close),
                (LEAVE_OUT, "leave the row out"),
            )
        else:
            _not_known(record, f"{NOBODY} name: {record.name}.")
        return []

    def _close(self, name: str) -> list[Known]:
        """Those it may be: a slip of the pen, or an initial before the same last name."""
        key = name_key(name)
        close = get_close_matches(key, [k for k in self.by_name if self.by_name[k]], n=3, cutoff=0.8)
        words = key.replace(".", " ").split()
        if len(words) > 1 and len(words[0]) <= 2:
            close += [
                known
                for known in self.by_name
                if known.split()[-1:] == words[-1:] and known.startswith(words[0][0])
            ]
        return [diver for known in dict.fromkeys(close) for diver in self.by_name[known]][:MOST_OFFERED]


def ask_which(record: Record, namesakes: Sequence[Known]) -> Match:
    """Several of one name: a question, with what tells them apart."""
    record.say(
        "person",
        QUESTION,
        "which_of_them",
        f"The club has {len(namesakes)} divers of the name {record.name}; the row does not say which.",
        "Say which; a member number or an e-mail address in the sheet settles it for good.",
        *((diver.id, described(diver)) for diver in namesakes),
        (LEAVE_OUT, "leave the row out"),
    )
    return Match(settled=False)


def described(diver: Known) -> str:
    """A diver by what tells namesakes apart."""
    known = [
        f"born {diver.born.isoformat()}" if diver.born else "",
        diver.email,
        f"member {diver.member_number}" if diver.member_number else "",
    ]
    return f"{diver.name} ({', '.join(part for part in known if part) or 'nothing more is known'})"


def _not_known(record: Record, message: str) -> None:
    about = "diver" if record.name or "email" not in record.values else "email"
    record.say(
        about,
        ERROR,
        "diver_not_known",
        message,
        "Correct it, leave the row out, or bring the roster first: past dives belong to somebody on it.",
    )
