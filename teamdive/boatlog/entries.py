"""One entry of the boat log: reading, writing and checking it.

An entry is never edited. Fields and kinds that this version does not know are kept in `more` and
`data` and written out again unchanged, so that an older phone passes on what a newer one wrote.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any

from teamdive.boatlog import schema
from teamdive.boatlog.canonical import NotCanonical, canonical, digest
from teamdive.boatlog.clock import Clock
from teamdive.boatlog.schema import Trouble

_OPTIONAL = ("text_hash", "corrects")
_FIELDS = frozenset(schema.ENTRY["properties"])
# What an entry must have to be kept at all: `data` of a known kind may still be wrong.
_ENVELOPE = {key: schema.ENTRY[key] for key in ("type", "required", "properties")}


class NotAnEntry(ValueError):
    """The value is not an entry at all; `problems` names every field that is wrong."""

    def __init__(self, problems: list[Trouble]) -> None:
        super().__init__("; ".join(f"{trouble.pointer}: {trouble.message}" for trouble in problems))
        self.problems = problems


@dataclass(frozen=True)
class Entry:
    """One immutable line of the boat log. `at` is when it happened, `clock` when it was written (ms since 1970).

    `mark` tells it from any other, an altered copy included: SHA-256 of its canonical bytes, `hash` and all.
    """

    id: str
    v: int
    trip: str
    device: str
    seq: int
    by: str | None
    clock: Clock
    at: int
    kind: str
    subject: str
    data: Mapping[str, Any]
    prev_hash: str | None
    hash: str
    mark: str
    text_hash: str | None = None
    corrects: str | None = None
    more: Mapping[str, Any] = field(default_factory=dict)


def read(value: Any) -> Entry:
    """The entry in a parsed JSON value. Raises NotAnEntry, naming all that is wrong with its envelope."""
    return read_with_text(value)[0]


def read_with_text(value: Any) -> tuple[Entry, str]:
    """The entry and its canonical text, for who stores it. Raises NotAnEntry."""
    found = schema.problems(_ENVELOPE, value, schema.ENTRY)
    text = ""
    if not found:
        try:
            text = canonical(value)
        except NotCanonical as error:
            found = [Trouble(error.pointer, "not_canonical", error.message)]
    if found:
        raise NotAnEntry(found)
    entry = Entry(
        mark=sha256(text.encode()).hexdigest(),
        **{name: value[name] for name in _ENVELOPE["required"] if name != "clock"},
        **{name: value[name] for name in _OPTIONAL if name in value},
        clock=Clock(value["clock"]["ms"], value["clock"]["n"]),
        more={name: value[name] for name in value if name not in _FIELDS},
    )
    return entry, text


def body(entry: Entry) -> dict[str, Any]:
    """The JSON object of an entry: what was read, field by field."""
    written = {name: getattr(entry, name) for name in _ENVELOPE["required"] if name != "clock"}
    written["clock"] = {"ms": entry.clock.ms, "n": entry.clock.n}
    written["data"] = dict(entry.data)
    for name in _OPTIONAL:
        if getattr(entry, name) is not None:
            written[name] = getattr(entry, name)
    return {**written, **entry.more}


def problems(value: Any) -> list[Trouble]:
    """All that is wrong with an entry: its envelope, and the data of a kind that is known here."""
    try:
        entry = read(value)
    except NotAnEntry as error:
        return error.problems
    return data_problems(entry)


def data_problems(entry: Entry) -> list[Trouble]:
    """What is wrong with the data of a known kind; nothing is said about kinds not known here."""
    found: list[Trouble] = []
    if entry.kind in schema.KINDS:
        found = schema.problems(schema.ENTRY["$defs"][entry.kind], entry.data, schema.ENTRY, "/data")
    if entry.kind == "correction" and entry.corrects is None:
        found.append(Trouble("/corrects", "missing", "a correction must name the entry that it corrects"))
    earliest, latest = entry.data.get("earliest"), entry.data.get("latest")
    if not found and entry.kind in schema.KINDS and entry.kind != "correction":
        if isinstance(earliest, int) and earliest > entry.at:
            found.append(Trouble("/data/earliest", "out_of_range", "must not be later than at"))
        if isinstance(latest, int) and latest < entry.at:
            found.append(Trouble("/data/latest", "out_of_range", "must not be earlier than at"))
    return found


def hash_of(value: Mapping[str, Any]) -> str:
    """The hash an entry ought to carry: SHA-256 of all but the field `hash`, canonical. Raises NotCanonical."""
    return digest({name: item for name, item in value.items() if name != "hash"})


def text_hash(salt: str, text: str) -> str:
    """SHA-256 of a text with its salt (32 random hex digits, so that short texts cannot be guessed)."""
    return sha256(bytes.fromhex(salt) + text.encode()).hexdigest()


def uuid7(ms: int, random: bytes) -> str:
    """A UUID version 7 (RFC 9562, section 5.7) from milliseconds since 1970 and 10 random bytes."""
    octets = bytearray(ms.to_bytes(6, "big") + random[:10])
    octets[6] = 0x70 | octets[6] & 0x0F
    octets[8] = 0x80 | octets[8] & 0x3F
    digits = octets.hex()
    return "-".join((digits[:8], digits[8:12], digits[12:16], digits[16:20], digits[20:]))
