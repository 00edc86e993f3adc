"""A log handed over as pictures: any order, repeats, what was read wrongly, and how long 300 entries take."""

import json
import zlib
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from teamdive.boatlog import frames
from teamdive.boatlog.entries import body
from tests.boat_histories import history

# Version 18 of a QR symbol at error correction L holds 1,046 letters of the alphanumeric set (ISO/IEC 18004, table 7,
# from memory); a phone's camera reads about four changing pictures a second (common practice, no source).
LETTERS, A_SECOND = 1046, 4
SIZE = LETTERS * 2 // 3 - 17


def test_published_values_of_the_codings() -> None:
    # RFC 9285, section 4.3 and 4.4.
    for data, text in (
        (b"AB", "BB8"),
        (b"Hello!!", "%69 VD92EX0"),
        (b"base-45", "UJCLQE7W581"),
        (b"ietf!", "QED8WEX0"),
    ):
        assert frames.base45(data) == text and frames.from_base45(text) == data
    # The check value of this CRC in ITU-T V.42's form, over the nine digits.
    assert frames.crc32(b"123456789") == 0xCBF43926


@given(st.binary(max_size=400))
def test_the_checksum_is_the_one_of_zlib(data: bytes) -> None:
    assert frames.crc32(data) == zlib.crc32(data)


@given(st.binary(max_size=600), st.integers(1, 90), st.randoms(use_true_random=False))
def test_any_order_any_repeats(data: bytes, size: int, rng: Random) -> None:
    made = list(frames.cut(data, size))
    shuffled = [*made, *rng.choices(made, k=3)]
    rng.shuffle(shuffled)
    assert frames.join(shuffled) == data
    kept = rng.sample(made, rng.randint(0, len(made) - 1))
    assert frames.join(kept) is None
    # Read on later from what was kept.
    have = None
    for text in kept:
        have = frames.gather(have, frames.read_frame(text))
    for index in range(len(made)) if have is None else frames.still_missing(have):
        have = frames.gather(have, frames.read_frame(made[index]))
    assert have is not None and frames.joined(have) == data


@given(st.binary(min_size=1, max_size=60), st.data())
def test_a_letter_read_wrongly_is_refused(data: bytes, draw: st.DataObject) -> None:
    text = frames.cut(data, 20)[0]
    place = draw.draw(st.integers(0, len(text) - 1))
    letter = draw.draw(st.sampled_from("09AZ $%*+-./:").filter(lambda each: each != text[place]))
    with pytest.raises(frames.NotAFrame):
        frames.read_frame(text[:place] + letter + text[place + 1 :])


@pytest.mark.parametrize("size", [0, -1])
def test_a_size_that_holds_nothing_is_refused(size: int) -> None:
    with pytest.raises(ValueError, match="size"):
        frames.cut(b"x", size)


def test_three_hundred_entries_in_under_a_minute() -> None:
    rng = Random(5)
    log = [entry for _ in range(40) for entry in history(rng, 60)][:300]
    assert len(log) == 300
    plain = "\n".join(json.dumps(body(entry), separators=(",", ":")) for entry in log).encode()
    packed = zlib.compress(plain, 6)
    made = frames.cut(packed, SIZE)
    assert all(len(text) <= LETTERS for text in made)
    # Every fifth picture missed, and read when it comes round again.
    shown = len(made) + len(made) // 5 + len(made) // 25 + 2
    print(
        f"300 entries: {len(plain)} bytes, packed {len(packed)}, {len(made)} pictures, {shown / A_SECOND:.0f} s"
    )
    assert shown / A_SECOND < 60
    assert zlib.decompress(frames.join(reversed(made)) or b"") == plain
