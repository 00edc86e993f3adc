"""What is written to the boat logs: devices enrolled and revoked, batches of entries taken in, texts erased."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache, partial
from typing import Any
from uuid import UUID, uuid4

from django.db import connection, transaction
from django.db.models import Q

from teamdive.boatlog.entries import Entry as LogEntry
from teamdive.boatlog.entries import text_hash
from teamdive.people.models import User
from teamdive.trips.models import Trip
from teamdive.web.problems import Unable

from . import rules, selectors
from .models import Device, Entry, Text, TripLog
from .projection import project
from .rules import Known, Placed, Refused
from .signals import entries_stored

__all__ = ["Stored", "enrol", "erase_text", "lock", "project", "renew_epochs", "revoke", "store"]


class UnableToEnrol(Unable):
    code = "bad_public_key"


class UnableToStore(Unable):
    code = "batch_too_large"
    status = 413


@dataclass(frozen=True)
class Stored:
    """What came of a batch: the ids that the log holds now, what was wrong, and where the log stands."""

    accepted: tuple[str, ...]
    problems: tuple[Refused, ...]
    epoch: UUID
    position: int
    head: str | None


@transaction.atomic
def enrol(*, trip: Trip, label: str, public_key: str, by: User | None, now: datetime) -> tuple[Device, str]:
    """Enrol a phone on a trip. The token is returned once and kept nowhere. Raises UnableToEnrol."""
    if public_key and rules.read_public_key(public_key) is None:
        message = "This is not an ECDSA P-256 public key in base64. Make a new key on the phone."
        raise UnableToEnrol(message, pointer="/public_key")
    token = secrets.token_urlsafe(32)
    lock(trip.pk)
    device = Device.objects.create(
        trip=trip,
        label=label,
        token_hash=selectors.token_hash(token),
        public_key=public_key,
        enrolled_by=by,
        enrolled_at=now,
    )
    return device, token


@transaction.atomic
def revoke(*, device: Device, now: datetime) -> Device:
    """Take a phone off its trip. What it writes later is kept and marked. The first time counts."""
    Device.objects.filter(pk=device.pk, revoked_at=None).update(revoked_at=now)
    device.refresh_from_db()
    return device


@transaction.atomic
def store(
    *,
    trip: Trip,
    bodies: Sequence[Any],
    texts: Sequence[dict[str, str]] = (),
    head: dict[str, Any] | None = None,
    device: Device | None = None,
    now: datetime,
) -> Stored:
    """Take in a batch: the union of two sets, so that the same batch twice is the same as once.

    Whatever is an entry of this trip is kept, in trouble or not, whatever its clock says.
    Raises UnableToStore for more than MOST_IN_A_BATCH entries.
    """
    if len(bodies) > rules.MOST_IN_A_BATCH:
        message = f"Send at most {rules.MOST_IN_A_BATCH} entries at once."
        raise UnableToStore(message, pointer="/entries")
    placed, refused = rules.sort_batch(str(trip.pk), bodies)
    log = lock(trip.pk)
    problems, added = _add(trip, log, placed, now)
    problems.extend(_add_texts(trip, texts))
    verdict, unheard = _take_head(device, head, now)
    problems.extend(unheard)
    if added:
        transaction.on_commit(lambda: entries_stored.send_robust(sender=Entry, trip_id=trip.pk))
    return Stored(
        accepted=tuple(dict.fromkeys(each.entry.id for each in placed)),
        problems=(*refused, *problems),
        epoch=log.epoch,
        position=log.last_position,
        head=verdict,
    )


@transaction.atomic
def erase_text(*, trip: Trip, entry_id: UUID, now: datetime) -> int:
    """Erase the words of an entry; its hash stays, so the chain holds. Returns how many texts were erased."""
    return Text.objects.filter(entry__trip=trip, entry__entry_id=entry_id, erased_at=None).update(
        salt="", text="", erased_at=now
    )


@transaction.atomic
def renew_epochs(*, epoch: UUID) -> int:
    """After a restore from a backup: every log starts a new epoch, and phones offer their whole set again."""
    return TripLog.objects.update(epoch=epoch)


def lock(trip_id: UUID) -> TripLog:
    """The row of a trip's log, locked: whoever gives positions waits here."""
    locked = TripLog.objects.select_for_update()
    row = locked.filter(pk=trip_id).first()
    if row is None:
        TripLog.objects.bulk_create([TripLog(trip_id=trip_id)], ignore_conflicts=True)
        row = locked.get(pk=trip_id)
    return row


def _add(trip: Trip, log: TripLog, placed: list[Placed], now: datetime) -> tuple[list[Refused], int]:
    """Store what is not there yet, each at the next position. Returns what is wrong with it, and how many are new."""
    first: dict[str, Placed] = {}
    for each in placed:
        first.setdefault(each.entry.mark, each)
    held = _held(trip, [each.entry for each in first.values()])
    there = {row[2] for row in held}
    new = [each for mark, each in first.items() if mark not in there]
    if not new:
        return [], 0
    known = _known(held, [each.entry for each in new])
    devices = {
        str(device): "enrolled" if revoked_at is None or revoked_at > now else "revoked"
        for device, revoked_at in selectors.devices(trip.pk).values_list("pk", "revoked_at")
    }
    problems: list[Refused] = []
    judged: list[tuple[Placed, tuple[str, ...]]] = []
    for each in new:
        trouble = rules.trouble_with(each, known, devices.get(each.entry.device))
        problems.extend(
            Refused(f"/entries/{each.index}", each.entry.id, code, message, True) for code, message in trouble
        )
        judged.append((each, tuple(code for code, _ in trouble)))
    _insert(trip, log.last_position + 1, judged, now)
    log.last_position += len(judged)
    log.save(update_fields=["last_position"])
    return problems, len(judged)


def _insert(trip: Trip, first: int, judged: list[tuple[Placed, tuple[str, ...]]], now: datetime) -> None:
    """Add entries with the codes of their troubles, at the positions from `first` on.

    By one statement for all rows, not bulk_create, which makes SQL and values anew for each and took longer than
    all the checks. Text and whole numbers go in as they are; the rest as its field writes it for this database,
    once for rows that have it in common.
    """
    fields = {field.attname: field for field in Entry._meta.concrete_fields}
    write = {
        name: cache(partial(field.get_db_prep_save, connection=connection)) for name, field in fields.items()
    }
    rows = [
        {
            "id": write["id"](uuid4()),
            "trip_id": write["trip_id"](trip.pk),
            "position": position,
            "entry_id": write["entry_id"](each.entry.id),
            "mark": each.entry.mark,
            "device_id": write["device_id"](each.entry.device),
            "seq": each.entry.seq,
            "hash": each.entry.hash,
            "kind": each.entry.kind,
            "body": each.text,
            "trouble": write["trouble"](codes),
            "received_at": write["received_at"](now),
        }
        for position, (each, codes) in enumerate(judged, first)
    ]
    quoted = connection.ops.quote_name
    columns = ", ".join(quoted(fields[name].column) for name in rows[0])
    places = ", ".join("%s" for _ in rows[0])
    statement = f"INSERT INTO {quoted(Entry._meta.db_table)} ({columns}) VALUES ({places})"
    with connection.cursor() as cursor:
        cursor.executemany(statement, [tuple(row.values()) for row in rows])


Row = tuple[Any, int, str, str, Any]


def _held(trip: Trip, entries: list[LogEntry]) -> list[Row]:
    """What stands where these entries attach: (device, seq, mark, hash, id) of their ids and of their places."""
    attached = Q(entry_id__in={UUID(entry.id) for entry in entries})
    seqs: dict[str, set[int]] = {}
    for entry in entries:
        seqs.setdefault(entry.device, set()).update((entry.seq - 1, entry.seq))
    for device, wanted in seqs.items():
        first, last = min(wanted), max(wanted)
        # A phone sends runs of its chain: asked as a run, a database answers them sooner than one by one.
        run = last - first < 2 * len(wanted)
        places = Q(seq__gte=first, seq__lte=last) if run else Q(seq__in=wanted)
        attached |= Q(device_id=device) & places
    rows = Entry.objects.filter(attached, trip=trip)
    return list(rows.values_list("device_id", "seq", "mark", "hash", "entry_id"))


def _known(held: list[Row], new: list[LogEntry]) -> Known:
    """What stands where new entries attach to the chains, themselves included."""
    marks: dict[tuple[str, int], set[str]] = {}
    hashes: dict[tuple[str, int], set[str]] = {}
    ids: dict[str, set[str]] = {}
    for device, seq, mark, hash_, entry_id in (
        *held,
        *((entry.device, entry.seq, entry.mark, entry.hash, entry.id) for entry in new),
    ):
        place = (str(device), seq)
        marks.setdefault(place, set()).add(mark)
        hashes.setdefault(place, set()).add(hash_)
        ids.setdefault(str(entry_id), set()).add(mark)
    return Known(marks, hashes, ids)


def _add_texts(trip: Trip, texts: Sequence[dict[str, str]]) -> list[Refused]:
    """Store the words whose entry is here and names them by their salted hash; erased ones stay erased."""
    if not texts:
        return []
    rows: dict[str, list[Entry]] = {}
    for row in Entry.objects.filter(trip=trip, entry_id__in=[text["entry"] for text in texts]):
        rows.setdefault(str(row.entry_id), []).append(row)
    problems: list[Refused] = []
    new: list[Text] = []
    for index, text in enumerate(texts):
        wanted = f'"text_hash":"{text_hash(text["salt"], text["text"])}"'
        named = [row for row in rows.get(text["entry"], ()) if wanted in row.body]
        unable = rules.why_not_kept(text["text"])
        if unable is not None:
            problems.append(Refused(f"/texts/{index}/text", None, *unable, False))
            continue
        if not named:
            code, message = (
                ("text_does_not_match", "the entry names another text")
                if text["entry"] in rows
                else ("text_without_entry", "its entry is not here yet: send them together")
            )
            problems.append(Refused(f"/texts/{index}", None, code, message, False))
        new.extend(Text(entry=row, salt=text["salt"], text=text["text"]) for row in named)
    Text.objects.bulk_create(new, ignore_conflicts=True)
    return problems


def _take_head(
    device: Device | None, head: dict[str, Any] | None, now: datetime
) -> tuple[str | None, list[Refused]]:
    """Check the signature over the last entry that a phone says it wrote."""
    if head is None or device is None:
        return None, []
    if not device.public_key:
        return "no_key", []
    if not rules.signature_holds(device.public_key, head["hash"], head["signature"]):
        message = "the signature is not by the key this phone was enrolled with"
        return "refused", [Refused("/head/signature", None, "signature_does_not_hold", message, False)]
    held = Entry.objects.filter(
        trip=device.trip_id, device_id=device.pk, seq=head["seq"], hash=head["hash"]
    ).exists()
    if not held:
        message = "the log does not hold the entry that the phone signed: send its whole set again"
        return "refused", [Refused("/head/hash", None, "head_not_held", message, False)]
    Device.objects.filter(pk=device.pk).exclude(head_seq__gt=head["seq"]).update(
        head_seq=head["seq"], head_hash=head["hash"], head_signature=head["signature"]
    )
    return "verified", []
