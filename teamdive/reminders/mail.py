"""Mail to somebody ashore, who has no account and no app."""

from uuid import UUID

from django.conf import settings
from django.core.mail import EmailMessage


class NoMail(Exception):
    """This installation has no mail server: nobody is reached by mail."""

    def __init__(self) -> None:
        super().__init__("this installation sends no mail: set TEAMDIVE_MAIL_URL")


def send(*, key: UUID, to: str, subject: str, text: str, urgent: bool) -> None:
    """Send one mail, or raise. A resend carries the same Message-ID (RFC 5322, 3.6.4): it can be seen as one."""
    if not settings.MAIL_SET_UP:
        raise NoMail
    host = settings.MAIL_FROM.rpartition("@")[2].strip("> ") or "localhost"
    headers = {"Message-ID": f"<{key}@{host}>", "Auto-Submitted": "auto-generated"}
    if urgent:
        headers |= {"Importance": "high", "X-Priority": "1"}
    line = " ".join(subject.split())
    EmailMessage(line, text, settings.MAIL_FROM, [to], headers=headers).send()
