"""A log handed over as a short series of pictures: bytes cut into frames, each readable by itself, in any order.

A frame is text in the 45 characters that a QR symbol packs best (RFC 9285, Base45). Its bytes are: version (1),
first 8 bytes of the SHA-256 of the whole, index (2), number of frames (2), the piece, CRC-32 of all before it (4).
Packing and unpacking the bytes is the caller's business; nothing here knows what they mean.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from hashlib import sha256

VERSION = 1
MOST_FRAMES = 65535
_HEAD, _TAIL = 13, 4
_LETTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
_VALUES = {letter: value for value, letter in enumerate(_LETTERS)}


class NotAFrame(ValueError):
    """The text is no frame, or was read wrongly: read the picture again."""


@dataclass(frozen=True)
class Frame:
    """One piece of a whole: which whole (hex), its place, how many there are."""

    whole: str
    index: int
    count: int
    piece: bytes


@dataclass(frozen=True)
class Gathered:
    """The pieces read so far of one whole."""

    whole: str
    count: int
    pieces: Mapping[int, bytes] = field(default_factory=dict)


def cut(data: bytes, size: int) -> tuple[str, ...]:
    """The frames of `data`, pieces of `size` bytes. Raises ValueError for no size, or more than MOST_FRAMES frames."""
    if size < 1:
        raise ValueError("size: must be at least 1 byte")
    count = max(1, -(-len(data) // size))
    if count > MOST_FRAMES:
        raise ValueError(f"size: {len(data)} bytes make more than {MOST_FRAMES} frames of {size}")
    whole = sha256(data).digest()[:8]
    made = []
    for index in range(count):
        head = bytes([VERSION]) + whole + index.to_bytes(2, "big") + count.to_bytes(2, "big")
        inner = head + data[index * size : (index + 1) * size]
        made.append(base45(inner + crc32(inner).to_bytes(4, "big")))
    return tuple(made)


def read_frame(text: str) -> Frame:
    """The frame in a text that a camera read. Raises NotAFrame."""
    data = from_base45(text)
    if len(data) < _HEAD + _TAIL or data[0] != VERSION:
        raise NotAFrame("this picture is not part of a boat log")
    inner, mark = data[:-_TAIL], int.from_bytes(data[-_TAIL:], "big")
    index, count = int.from_bytes(inner[9:11], "big"), int.from_bytes(inner[11:13], "big")
    if crc32(inner) != mark or index >= count:
        raise NotAFrame("this picture was read wrongly: read it again")
    return Frame(inner[1:9].hex(), index, count, inner[_HEAD:])


def gather(have: Gathered | None, frame: Frame) -> Gathered:
    """What is there after one more frame; a frame of another whole begins anew."""
    if have is None or have.whole != frame.whole or have.count != frame.count:
        have = Gathered(frame.whole, frame.count)
    return Gathered(have.whole, have.count, {**have.pieces, frame.index: frame.piece})


def still_missing(have: Gathered) -> tuple[int, ...]:
    """The places not read yet, in order."""
    return tuple(index for index in range(have.count) if index not in have.pieces)


def joined(have: Gathered) -> bytes | None:
    """The whole; None while pieces are missing. Raises NotAFrame where the pieces do not make what was cut."""
    if still_missing(have):
        return None
    data = b"".join(have.pieces[index] for index in range(have.count))
    if sha256(data).digest()[:8].hex() != have.whole:
        raise NotAFrame("the pictures do not fit together: begin again")
    return data


def join(texts: Iterable[str]) -> bytes | None:
    """The whole from frames in any order, repeats allowed; None while pieces are missing. Raises NotAFrame."""
    have: Gathered | None = None
    for text in texts:
        have = gather(have, read_frame(text))
    return None if have is None else joined(have)


def crc32(data: bytes) -> int:
    """CRC-32 as in ISO 3309 and ITU-T V.42: polynomial 0x04C11DB7, reflected, start and end inverted."""
    found = 0xFFFFFFFF
    for byte in data:
        found = _CRC[(found ^ byte) & 0xFF] ^ (found >> 8)
    return found ^ 0xFFFFFFFF


def base45(data: bytes) -> str:
    """RFC 9285, section 4: two bytes to three letters, a last single byte to two."""
    made: list[str] = []
    for start in range(0, len(data) - 1, 2):
        value = data[start] * 256 + data[start + 1]
        made += (_LETTERS[value % 45], _LETTERS[value // 45 % 45], _LETTERS[value // 2025])
    if len(data) % 2:
        made += (_LETTERS[data[-1] % 45], _LETTERS[data[-1] // 45])
    return "".join(made)


def from_base45(text: str) -> bytes:
    """The bytes of a Base45 text. Raises NotAFrame."""
    values = [_VALUES.get(letter, -1) for letter in text]
    if -1 in values or len(values) % 3 == 1:
        raise NotAFrame("this picture is not part of a boat log")
    made = bytearray()
    for start in range(0, len(values), 3):
        group = values[start : start + 3]
        value = sum(each * 45**place for place, each in enumerate(group))
        if value >= 256 ** (len(group) - 1):
            raise NotAFrame("this picture is not part of a boat log")
        made += value.to_bytes(len(group) - 1, "big")
    return bytes(made)


def _crc_table() -> tuple[int, ...]:
    table = []
    for byte in range(256):
        value = byte
        for _ in range(8):
            value = value >> 1 ^ (0xEDB88320 if value & 1 else 0)
        table.append(value)
    return tuple(table)


_CRC = _crc_table()
