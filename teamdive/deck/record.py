"""The record: a boat log as known at any past moment, each phone's chain, and what was counted."""

from __future__ import annotations

import json
from collections import defaultdict
from dataclasses import asdict, dataclass
from datetime import datetime
from hashlib import sha256
from typing import Any
from uuid import UUID

from teamdive.boatlog import chain, snapshot
from teamdive.boatlog import entries as boatlog
from teamdive.boatlog.claims import happened
from teamdive.boatlog.facts import facts
from teamdive.boatlog.fold import fold, roots
from teamdive.boatlog.record import roll_call_record
from teamdive.boatlog.view import view
from teamdive.trips.selectors import snapshot_of

from .dives_record import dives_record
from .models import Device, Entry, Text
from .selectors import log_of, phone_labels, state_of


@dataclass(frozen=True)
class AsKnown:
    """What this server knew of a trip at an instant, or up to a position. `set_hash` is the SHA-256 of the sorted
    marks: two equal ones are the same set of entries to the byte. `happened_at` of an entry (ms) is its `at` with its
    phone's clock put right. `state` is null before the trip was made ready. `counts` and `dives` are the written ones
    (`boatlog.record.Line`, `dives_record.DiveLine`); `sites` names where each dive was planned."""

    at: datetime
    position: int
    epoch: UUID | None
    set_hash: str
    snapshot_hash: str | None
    names: dict[str, str]
    entries: list[dict[str, Any]]
    texts: list[dict[str, Any]]
    state: dict[str, Any] | None
    counts: list[dict[str, Any]]
    dives: list[dict[str, Any]]
    sites: dict[str, str]


@dataclass(frozen=True)
class PhoneChain:
    """One phone's chain as the server holds it. `signed_seq`: how far its phone signed and the server checked.

    `trouble`: {code, seq, entries}: entry ids, the first broken one first; `missing` says entries are not here yet.
    """

    device: UUID
    label: str | None
    enrolled: bool
    revoked_at: datetime | None
    last_seq: int
    signed_seq: int | None
    trouble: list[dict[str, Any]]


def as_known(trip_id: UUID, *, at: datetime, position: int | None = None) -> AsKnown:
    """The log as received up to `at` and, where given, up to a position, folded and seen at that instant.

    Texts erased since stay erased: whoever they belong to has the last word.
    """
    rows = Entry.objects.filter(trip=trip_id, received_at__lte=at).order_by("position")
    if position is not None:
        rows = rows.filter(position__lte=position)
    held = list(rows)
    kept = snapshot_of(trip_id)
    bodies = [json.loads(row.body) for row in held]
    state = None
    counts: list[dict[str, Any]] = []
    dives: list[dict[str, Any]] = []
    put_right: dict[str, int] = {}
    if kept is not None:
        readable = [entry for entry in map(_readable, bodies) if entry is not None]
        folded = fold(snapshot.read(kept["snapshot"]), readable)
        settled = facts(folded)
        state = view(folded, int(at.timestamp() * 1000), settled)
        counts = [asdict(line) for line in roll_call_record(folded, settled)]
        dives = [asdict(line) for line in dives_record(folded, settled)]
        put_right = {entry.mark: happened(folded, entry) for entry in readable}
    return AsKnown(
        at=at,
        position=held[-1].position if held else 0,
        epoch=log_of(trip_id).epoch,
        set_hash=sha256("".join(sorted(row.mark for row in held)).encode()).hexdigest(),
        snapshot_hash=None if kept is None else kept["hash"],
        names={} if kept is None else kept["names"],
        entries=[
            {
                "position": row.position,
                "received_at": row.received_at,
                "happened_at": put_right.get(row.mark, body.get("at")),
                "trouble": row.trouble,
                "entry": body,
            }
            for row, body in zip(held, bodies, strict=True)
        ],
        texts=texts_of(held),
        state=state,
        counts=counts,
        dives=dives,
        sites={} if kept is None else kept["labels"].get("sites", {}),
    )


def labels(trip_id: UUID) -> dict[str, str]:
    """What is no person and yet named in entries, by its id: phones, dives and teams as the deck calls them, boats."""
    kept = snapshot_of(trip_id)
    named = phone_labels(trip_id)
    for dive in [] if kept is None else kept["snapshot"]["dives"]:
        named[dive["id"]] = f"dive {dive['number']}"
        for number, team in enumerate(dive["teams"], 1):
            named[team["id"]] = f"dive {dive['number']}, team {number}"
    boats = {} if kept is None else kept["labels"].get("boats", {})
    return named | boats | {str(trip_id): "the whole trip"}


def texts_of(rows: list[Entry]) -> list[dict[str, Any]]:
    """The words beside these entries, in order of position; erased ones say so."""
    # By trip: a long list of ids would pass SQLite's number of variables.
    ids = {row.pk for row in rows}
    trips = {row.trip_id for row in rows}
    found = [
        text
        for text in Text.objects.filter(entry__trip__in=trips).select_related("entry")
        if text.entry_id in ids
    ]
    return [
        {"entry": str(text.entry.entry_id), "erased": True}
        if text.erased_at is not None
        else {"entry": str(text.entry.entry_id), "salt": text.salt, "text": text.text}
        for text in sorted(found, key=lambda text: text.entry.position)
    ]


def open_about(trip_id: UUID, entry_id: str) -> list[str]:
    """The codes of the questions that an entry, or what this correction is about, still leaves open."""
    state = state_of(trip_id)
    if state is None:
        return []
    named = state.by_id.get(entry_id, ())
    about = {entry_id} | {root.id for entry in named for root in roots(state, entry)}
    return sorted({question.code for question in facts(state).questions if about & set(question.entries)})


def chains(trip_id: UUID) -> list[PhoneChain]:
    """Every phone that wrote or was enrolled: where its chain ends, how far it is signed, and what is wrong in it.

    All of it is worked out from the stored bytes, so that a row altered in the database shows as well.
    """
    lines: dict[UUID, list[boatlog.Entry]] = defaultdict(list)
    changed: dict[UUID, list[dict[str, Any]]] = defaultdict(list)
    for row in Entry.objects.filter(trip=trip_id).order_by("position"):
        entry = _readable(json.loads(row.body))
        if entry is not None:
            lines[row.device_id].append(entry)
        if entry is None or (entry.mark, entry.id, entry.seq) != (row.mark, str(row.entry_id), row.seq):
            changed[row.device_id].append(
                {"code": "stored_copy_changed", "seq": row.seq, "entries": [str(row.entry_id)]}
            )
    devices = {device.pk: device for device in Device.objects.filter(trip=trip_id)}
    # Enrolled ones in their own order, then whoever else wrote.
    everyone = [*devices, *sorted(set(lines) - set(devices), key=str)]
    return [_chain(each, devices.get(each), lines[each], changed[each]) for each in everyone]


def _readable(body: Any) -> boatlog.Entry | None:
    """The entry, or None where somebody changed the stored bytes into something that is none."""
    try:
        return boatlog.read(body)
    except boatlog.NotAnEntry:
        return None


def _chain(
    name: UUID, device: Device | None, line: list[boatlog.Entry], changed: list[dict[str, Any]]
) -> PhoneChain:
    found = [
        *changed,
        *({"code": t.code, "seq": t.seq, "entries": list(t.entries)} for t in chain.check(line)),
    ]
    signed = None if device is None else device.head_seq
    head = None if device is None else device.head_hash
    if signed is not None and not any(entry.seq == signed and entry.hash == head for entry in line):
        # Once checked, now gone: a database restored from before, or a chain written anew.
        found.append({"code": "signed_entry_not_here", "seq": signed, "entries": []})
    return PhoneChain(
        device=name,
        label=None if device is None else device.label,
        enrolled=device is not None,
        revoked_at=None if device is None else device.revoked_at,
        last_seq=max((entry.seq for entry in line), default=0),
        signed_seq=signed,
        trouble=sorted(found, key=lambda each: each["seq"]),
    )
