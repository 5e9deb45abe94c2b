"""One line per event, with the request that caused it."""

from __future__ import annotations

import json
import logging
import re
import uuid
from collections.abc import Callable
from contextvars import ContextVar
from datetime import UTC, datetime

from django.http import HttpRequest, HttpResponse

request_id: ContextVar[str] = ContextVar("request_id", default="")


# The key to somebody's calendar stands in its address: no line may keep it.
_SECRET = re.compile(r"(/calendar/)[^/\s\"'<>?]+(\.ics)?")


def without_secrets(text: str) -> str:
    """Return a line without the secrets that addresses in it hold."""
    return _SECRET.sub(r"\1…\2", text)


class RequestIdMiddleware:
    """Give each request a name of our own; the client's is never trusted."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        name = uuid.uuid4().hex
        token = request_id.set(name)
        try:
            response = self.get_response(request)
        finally:
            request_id.reset(token)
        response["X-Request-ID"] = name
        return response


class RequestIdFilter(logging.Filter):
    """Put the request's name on each record."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.request_id = request_id.get()
        return True


class LineFormatter(logging.Formatter):
    """Write JSON: whatever a stranger typed stays inside one line."""

    def format(self, record: logging.LogRecord) -> str:
        line = {
            "at": datetime.fromtimestamp(record.created, tz=UTC).isoformat(),
            "level": record.levelname,
            "logger": record.name,
            "request": getattr(record, "request_id", ""),
            "message": without_secrets(record.getMessage()),
        }
        if record.exc_info:
            line["error"] = without_secrets(self.formatException(record.exc_info))
        return json.dumps(line, ensure_ascii=True)
