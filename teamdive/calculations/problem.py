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
        self.type = "about:blank"
        self.title = "Bad Request"
        self.status = 400
        self.detail = detail if detail is not None else _detail(errors)
        super().__init__(self.detail)

    def as_json(self) -> dict[str, Any]:
        return {
            "type": self.type,
            "title": self.title,
            "status": self.status,
            "detail": self.detail,
            "errors": [error.as_json() for error in self.errors],
        }


def _detail(errors: tuple[FieldError, ...]) -> str:
    if len(errors) == 1:
        return f"{errors[0].pointer or 'the body'}: {errors[0].message}"
    return f"{len(errors)} errors; the first is {errors[0].pointer or 'the body'}: {errors[0].message}"


def pointer(base: str, key: str | int) -> str:
    """A JSON Pointer one step further: `~` and `/` in a key are escaped."""
    return f"{base}/{str(key).replace('~', '~0').replace('/', '~1')}"
