"""Bodies packed with gzip, as phones send long batches over a weak line: never unpacked without a bound."""

import zlib
from typing import Any

from teamdive.calculations.body import parse_json

from .parsers import StrictJSON
from .problems import Unable

MOST_UNPACKED = 8 * 2**20


class UnableToUnpack(Unable):
    code = "not_gzip"
    status = 400


class BodyTooLarge(UnableToUnpack):
    code = "body_too_large"
    status = 413


class PackedJSON(StrictJSON):
    """The same, also packed with `Content-Encoding: gzip` (RFC 9110, 8.4.1.3), to at most MOST_UNPACKED bytes."""

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        """The document; raises UnableToUnpack for what is not gzip, is cut short, or unpacks to too much."""
        encoding = (parser_context or {})["request"].headers.get("Content-Encoding", "identity").lower()
        if encoding == "identity":
            return super().parse(stream, media_type, parser_context)
        if encoding != "gzip":
            message = "Send the body as it is, or packed with gzip."
            raise UnableToUnpack(message, code="encoding_not_known")
        return parse_json(unpacked(stream))


def unpacked(stream: Any) -> bytes:
    """The bytes of a gzip stream; no more than MOST_UNPACKED of them are ever held. Raises UnableToUnpack."""
    reader = zlib.decompressobj(wbits=zlib.MAX_WBITS | 16)
    try:
        found = reader.decompress(stream.read(MOST_UNPACKED + 1), MOST_UNPACKED + 1)
    except zlib.error as error:
        raise UnableToUnpack("The body is not gzip. Send it again.") from error
    if len(found) > MOST_UNPACKED:
        message = f"Unpacked, the body is over {MOST_UNPACKED // 2**20} MB. Send fewer entries at once."
        raise BodyTooLarge(message)
    if not reader.eof:
        raise UnableToUnpack("The body was cut short. Send it again.")
    return found
