"""What the deck decides about entries that come in. Pure."""

from __future__ import annotations

from base64 import b64decode, urlsafe_b64decode
from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import timedelta
from hashlib import sha256
from typing import Any

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ec import ECDSA, SECP256R1, EllipticCurvePublicKey
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import load_der_public_key

from teamdive.boatlog.entries import Entry, NotAnEntry, data_problems, read_with_text
from teamdive.boatlog.schema import KINDS

MOST_IN_A_BATCH = 500
# Letters of the words beside one entry: more than anybody types on a phone, few enough for a page.
MOST_IN_A_TEXT = 100_000

# Read aloud and typed with wet hands: no 0 and O, no 1, I and L. 31^8 codes, a quarter of an hour, few tries a minute.
CODE_LETTERS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
CODE_LENGTH = 8
CODE_LASTS = timedelta(minutes=15)
PHONES_A_CODE = 20


@dataclass(frozen=True)
class Refused:
    """One item of a batch with what is wrong with it; `kept`: it is stored all the same."""

    pointer: str
    id: str | None
    code: str
    message: str
    kept: bool


@dataclass(frozen=True)
class Known:
    """What the log holds where new entries attach: marks by (device, seq), hashes there, and marks by id."""

    marks: Mapping[tuple[str, int], AbstractSet[str]]
    hashes: Mapping[tuple[str, int], AbstractSet[str]]
    ids: Mapping[str, AbstractSet[str]]


@dataclass(frozen=True)
class Placed:
    """An entry of a batch with its place there and its canonical text (RFC 8785)."""

    index: int
    entry: Entry
    text: str


def sort_batch(trip: str, bodies: Iterable[Any]) -> tuple[list[Placed], list[Refused]]:
    """The entries of a batch, and the items that are no entries of this trip.

    Only what cannot be an entry at all is refused; the phone keeps it and shows it.
    """
    found: list[Placed] = []
    refused: list[Refused] = []
    for index, body in enumerate(bodies):
        pointer = f"/entries/{index}"
        try:
            entry, text = read_with_text(body)
        except NotAnEntry as error:
            given = body.get("id") if isinstance(body, dict) else None
            name = given if isinstance(given, str) else None
            refused.extend(
                Refused(pointer + each.pointer, name, each.code, each.message, False)
                for each in error.problems
            )
            continue
        if entry.trip != trip:
            refused.append(
                Refused(f"{pointer}/trip", entry.id, "other_trip", "belongs to another trip", False)
            )
        else:
            found.append(Placed(index, entry, text))
    return found, refused


def is_unaltered(placed: Placed) -> bool:
    """Whether the entry's hash is the hash of what it says: of its text without the hash itself.

    No data can hold the same pair of name and hash before it: that would be text that holds its own SHA-256.
    """
    said = placed.text.replace(f'"hash":"{placed.entry.hash}",', "", 1)
    return sha256(said.encode()).hexdigest() == placed.entry.hash


def trouble_with(placed: Placed, known: Known, device: str | None) -> list[tuple[str, str]]:
    """What is wrong with an entry that is kept: (code, message). `device`: enrolled, revoked or None."""
    entry = placed.entry
    found: list[tuple[str, str]] = []
    if not is_unaltered(placed):
        found.append(("altered", "its hash is not the hash of what it says"))
    if entry.kind in KINDS:
        found.extend(
            ("not_understood", f"{each.pointer} {each.message}") for each in data_problems(entry)[:1]
        )
    place = (entry.device, entry.seq)
    if known.marks.get(place, frozenset()) - {entry.mark}:
        found.append(("forked", "another entry has the same place in this phone's chain"))
    elif known.ids.get(entry.id, frozenset()) - {entry.mark}:
        found.append(("same_id", "another entry has the same id"))
    before = known.hashes.get((entry.device, entry.seq - 1), frozenset())
    if (before and entry.prev_hash not in before) or (entry.seq == 1) != (entry.prev_hash is None):
        found.append(("not_linked", "it does not follow the entry before it"))
    if device != "enrolled":
        found.append(
            ("device_revoked", "its phone was taken off this trip")
            if device == "revoked"
            else ("device_unknown", "its phone was never enrolled on this trip")
        )
    return found


def why_not_kept(text: str) -> tuple[str, str] | None:
    """What is wrong with the words beside an entry: (code, message); None: they are kept. The entry is, either way."""
    if len(text) > MOST_IN_A_TEXT:
        return "text_too_long", f"has more than {MOST_IN_A_TEXT} letters: the phone alone keeps it"
    if "\x00" in text:
        return (
            "text_not_storable",
            "holds a null character, which no database keeps: the phone alone keeps it",
        )
    return None


def code_typed(text: str) -> str:
    """A join code as it was made, whatever spaces, dashes and small letters it was typed with.

    >>> code_typed(" 7kfm-p2qx ")
    '7KFMP2QX'
    """
    return "".join(letter for letter in text.upper() if letter.isalnum())


def read_public_key(text: str) -> EllipticCurvePublicKey | None:
    """An ECDSA P-256 key from base64 of its SubjectPublicKeyInfo; None when it is not one."""
    try:
        key = load_der_public_key(b64decode(text, validate=True))
    except (ValueError, TypeError):
        return None
    return key if isinstance(key, EllipticCurvePublicKey) and isinstance(key.curve, SECP256R1) else None


def signature_holds(public_key: str, hash_hex: str, signature: str) -> bool:
    """Whether `signature` (base64url of r and s, 32 bytes each) is over the 32 bytes of a head's hash."""
    key = read_public_key(public_key)
    try:
        raw = urlsafe_b64decode(signature + "=" * (-len(signature) % 4))
        signed = bytes.fromhex(hash_hex)
    except ValueError:
        return False
    if key is None or len(raw) != 64:
        return False
    both = encode_dss_signature(int.from_bytes(raw[:32], "big"), int.from_bytes(raw[32:], "big"))
    try:
        key.verify(both, signed, ECDSA(SHA256()))
    except InvalidSignature:
        return False
    return True
