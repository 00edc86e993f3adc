"""What is wrong with a body, as an RFC 9457 problem with a JSON Pointer (RFC 6901) for each error."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class FieldError:
    """One error: where (JSON Pointer), which (a stable code), and what to do about it."""

    pointer: str
    code: str
    message: str

    def as_json(self) -> dict[str, str]:
        return {"pointer": self.pointer, "code": self.code, "message": self.message}


class Problem(Exception):
    """A body that cannot be answered, with every error found in it."""

    def __init__(self, errors: tuple[FieldError, ...], detail: str | None = None) -> None:
        self.errors = errors
        self.type = "urn:teamdive:problem:bad_input"
        self.title = "Bad input"
        self.status = 400
        self.detail = detail if detail is not None else _detail(errors)
        super().__init__(self.detail)

    @classmethod
    def single(cls, at: str, code: str, message: str) -> Problem:
        """A problem of one error."""
        return cls((FieldError(at, code, message),))

    def as_json(self) -> dict[str, Any]:
        """The members of the problem, ready for JSON."""
        return {
            "type": self.type,
            "title": self.title,
            "status": self.status,
            "detail": self.detail,
            "errors": [error.as_json() for error in self.errors],
        }


def _detail(errors: tuple[FieldError, ...]) -> str:
    first = errors[0]
    said = f"{first.pointer}: {first.message}" if first.pointer else first.message
    return said if len(errors) == 1 else f"{len(errors)} errors; the first is {said}"


def pointer(base: str, key: str | int) -> str:
    """A JSON Pointer one step further: `~` and `/` in a key are escaped."""
    return f"{base}/{str(key).replace('~', '~0').replace('/', '~1')}"
