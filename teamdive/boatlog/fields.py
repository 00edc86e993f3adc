"""What several people's corrections of one entry amount to, field by field: what two settled, what is still open.

When it was, whom it names and each item of its data are settled by themselves, so that two who agree on one field lose
nobody's word on another. Their agreement answers what was said of that field up to the last of them; what is said later
opens it again, until somebody who had not yet spoken agrees.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from teamdive.boatlog.canonical import canonical
from teamdive.boatlog.corrections import Instant, Word, brought_by, moved
from teamdive.boatlog.entries import Entry
from teamdive.boatlog.fold import PEOPLE_LISTS
from teamdive.boatlog.order import Key, key
from teamdive.boatlog.settling import RECORD, concerned, settles

VOID, WHEN, WHO, NOTHING = "void", "when", "who", "nothing"
# A team and its people, a lead and theirs: one without the other would be nonsense.
_NAMING = frozenset({*PEOPLE_LISTS, "lead", "team"})

# What to add to the times of an entry's phone to have the log's (ms).
Shift = Callable[[Entry], int]
# A field and what is said of it.
Value = tuple[str, str]


@dataclass(frozen=True)
class Outcome:
    """Words cut to the fields that they are counted for, and what else follows from them.

    `settled`: for each field the values that two agreed on. `open`: one word for each that nobody answered yet.
    `void_settled`, `void_open`: two say, or one says, that it did not happen. `conflict`: they say different things of
    one field; `differ`: that, or several are open. `asked`: ids of the corrections that wait for an answer.
    """

    settled: tuple[tuple[Word, ...], ...]
    open: tuple[Word, ...]
    void_settled: bool
    void_open: bool
    conflict: bool
    differ: bool
    asked: tuple[str, ...]


def outcome(entry: Entry, said: list[Word], at_once: list[Word], shift: Shift) -> Outcome:
    """What is settled and what is open of all that was said of an entry; `at_once`: mistaps put right, no opinions."""
    about = concerned(entry) | brought_by(entry, said)
    later = [word for word in said if word.denies is None and word not in at_once]
    against = _denials(entry, said, about)
    of = {word.correction.mark: _fields(word, shift) for word in later}
    texts: dict[str, list[Word]] = defaultdict(list)
    voices: dict[Value, list[Word]] = defaultdict(list)
    for word in later:
        texts[canonical(of[word.correction.mark])].append(word)
        for value in of[word.correction.mark].items():
            voices[value].append(word)
    gone = {
        word.correction.mark
        for words in texts.values()
        if (last := _last_voice(entry, _of(against, words), about)) is not None
        for word in words
        if key(word.correction) < last
    }
    sure = _sure(entry, voices, against, gone, about)
    open_: dict[str, list[Word]] = defaultdict(list)
    doubts: list[Word] = []
    for words in texts.values():
        for word in words:
            left = {
                field: text
                for field, text in of[word.correction.mark].items()
                if (field, text) not in sure and not _answered(word, field, sure)
            }
            if left and (word.correction.mark not in gone or settles(entry, _named(words), about)):
                open_[canonical(left)].append(cut(word, left))
                doubts.extend(_of(against, words))
    waiting = [open_[text][0] for text in sorted(open_)]
    fields = [field for field, _ in sure] + [field for word in waiting for field in _fields(word, shift)]
    conflict = bool(doubts) or len(set(fields)) < len(fields) or (VOID in fields and len(fields) > 1)
    asked = [*doubts, *(word for words in open_.values() for word in words)]
    if conflict:
        asked.extend(word for value in sure for word in voices[value])
    settled: dict[str, list[Word]] = defaultdict(list)
    for field, text in sorted(sure):
        settled[field].append(cut(voices[field, text][0], {field}))
    return Outcome(
        tuple(tuple(words) for field, words in settled.items() if field != VOID),
        tuple(word for word in waiting if not word.void),
        VOID in settled,
        any(word.void for word in waiting),
        conflict,
        conflict or len(waiting) > 1,
        tuple(sorted({word.correction.id for word in asked})),
    )


def cut(word: Word, fields: Collection[str]) -> Word:
    """The same word, saying nothing of any other field."""
    data = {name: value for name, value in (word.data or {}).items() if _field(name) in fields}
    found = replace(word, void=VOID in fields, data=data or None)
    if WHO not in fields:
        found = replace(found, subject=None)
    return found if WHEN in fields else replace(found, at=None, earliest=None, latest=None)


def _field(name: str) -> str:
    return WHO if name in _NAMING else f"data {name}"


def _fields(word: Word, shift: Shift) -> dict[str, str]:
    """What a word says, by field, apart from who says it and why; times by the log's, so that two phones can agree."""
    if word.void:
        return {VOID: ""}
    found: dict[str, dict[str, Any]] = defaultdict(dict)
    if word.subject is not None:
        found[WHO]["subject"] = word.subject
    for name in ("at", "earliest", "latest"):
        instant: Instant | None = getattr(word, name)
        if instant is not None:
            found[WHEN] |= moved({name: instant.ms}, shift(instant.by))
    for name, value in moved(word.data or {}, shift(word.timed_by)).items():
        found[_field(name)][name] = value
    return {field: canonical(value) for field, value in found.items()} or {NOTHING: ""}


def _denials(entry: Entry, said: list[Word], about: Collection[str]) -> dict[str, list[Word]]:
    """Who says of which correction, by its mark, that it should not stand: all but what two others took back again."""
    found: dict[str, list[Word]] = defaultdict(list)
    for word in said:
        if word.denies is not None:
            found[word.denies].append(word)
    out = {mark for mark, words in found.items() if settles(entry, _named(words), about)}
    return {
        mark: [word for word in words if word.correction.mark not in out] for mark, words in found.items()
    }


def _of(against: Mapping[str, list[Word]], words: Iterable[Word]) -> list[Word]:
    return [denial for word in words for denial in against.get(word.correction.mark, ())]


def _sure(
    entry: Entry,
    voices: Mapping[Value, list[Word]],
    against: Mapping[str, list[Word]],
    gone: Collection[str],
    about: Collection[str],
) -> dict[Value, Key]:
    """What two agree on, and the place of the last of them in the order of writing: up to there it is answered."""
    found: dict[Value, Key] = {}
    for value, words in voices.items():
        last = _last_voice(entry, words, about)
        if last is None or all(word.correction.mark in gone for word in words):
            continue
        if all(key(denial.correction) < last for denial in _of(against, words)):
            found[value] = last
    return found


def _last_voice(entry: Entry, words: Sequence[Word], about: Collection[str]) -> Key | None:
    """The place of the last who says the same, where they are enough; whoever says it again says nothing new."""
    first: dict[str, Key] = {}
    for word in sorted(words, key=lambda each: key(each.correction)):
        by = word.correction.by
        if by is not None and not word.disputed and (entry.kind in RECORD or by not in about):
            first.setdefault(by, key(word.correction))
    return max(first.values()) if settles(entry, _named(words), about) else None


def _answered(word: Word, field: str, sure: Mapping[Value, Key]) -> bool:
    """Whether two agreed since on that field.

    Who say when or where it was say too that it happened; that it did not answers the rest only where nobody says so.
    """
    happened = any(settled != VOID for settled, _ in sure)
    return any(
        key(word.correction) < last
        for (settled, _), last in sure.items()
        if settled == field or field == VOID or (settled == VOID and not happened)
    )


def _named(words: Iterable[Word]) -> set[str | None]:
    """Those whose word nobody disputes."""
    return {word.correction.by for word in words if not word.disputed}
