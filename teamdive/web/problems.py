"""Every refusal is an RFC 9457 problem: `application/problem+json` with `errors: [{pointer, code, message}]`."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404
from rest_framework import exceptions, status
from rest_framework.response import Response
from rest_framework.views import exception_handler

from teamdive.calculations.problem import Problem

CONTENT_TYPE = "application/problem+json"


class Unable(Exception):
    """A service that cannot do what it was asked: subclass it beside the service that raises it.

    `code` is stable and for programs, `message` names the remedy and is for people, `pointer` is the JSON
    Pointer of the field that is meant ("" for the whole request), `data` goes into the answer as it is.
    """

    code = "unable"
    status = status.HTTP_409_CONFLICT

    def __init__(
        self,
        message: str,
        *,
        code: str | None = None,
        pointer: str = "",
        errors: list[dict[str, Any]] | None = None,
        **data: Any,
    ) -> None:
        super().__init__(message)
        self.message = message
        self.code = code or self.code
        self.errors = errors or [{"pointer": pointer, "code": self.code, "message": message}]
        self.data = data


def handle(error: Exception, context: dict[str, Any]) -> Response | None:
    """DRF's exception handler: shape whatever was raised as a problem; None lets Django answer 500."""
    if isinstance(error, Problem):
        return _response(error.status, error.as_json())
    if isinstance(error, Unable):
        body = _body(error.code, str(error.message), error.status, error.errors)
        return _response(error.status, body | ({"data": error.data} if error.data else {}))
    error = _as_drf(error)
    answer = exception_handler(error, context)
    if answer is None:
        return None
    detail = answer.data
    errors = list(_errors(detail, "")) if isinstance(error, exceptions.ValidationError) else []
    code = getattr(error, "default_code", "error")
    title = errors[0]["message"] if errors else str(getattr(error, "detail", error))
    problem = _response(answer.status_code, _body(str(code), title, answer.status_code, errors))
    for name in ("WWW-Authenticate", "Retry-After", "Allow"):
        if name in answer.headers:
            problem.headers[name] = answer.headers[name]
    return problem


def _as_drf(error: Exception) -> Exception:
    if isinstance(error, Http404):
        return exceptions.NotFound("There is nothing here by that name.")
    if isinstance(error, PermissionDenied):
        return exceptions.PermissionDenied()
    return error


def _body(code: str, detail: str, status_code: int, errors: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "type": f"urn:teamdive:problem:{code}",
        "title": code.replace("_", " ").capitalize(),
        "status": status_code,
        "detail": detail,
        "errors": errors,
    }


def _response(status_code: int, body: dict[str, Any]) -> Response:
    return Response(body, status=status_code, content_type=CONTENT_TYPE)


def _errors(detail: Any, pointer: str) -> Any:
    if isinstance(detail, dict):
        for name, inner in detail.items():
            yield from _errors(inner, pointer if name == "non_field_errors" else f"{pointer}/{name}")
    elif isinstance(detail, list):
        for index, inner in enumerate(detail):
            deeper = isinstance(inner, (dict, list))
            yield from _errors(inner, f"{pointer}/{index}" if deeper else pointer)
    else:
        yield {"pointer": pointer, "code": getattr(detail, "code", "invalid"), "message": str(detail)}
