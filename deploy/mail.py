"""Turns one mail address of the installation into the settings that Django's mail backends want."""

from typing import Any
from urllib.parse import unquote, urlsplit


def mail_settings(url: str) -> dict[str, Any]:
    """Return Django's e-mail settings for ``smtp://``, ``smtps://`` or ``file:///folder``."""
    parts = urlsplit(url)
    if parts.scheme == "file":
        return {
            "EMAIL_BACKEND": "servicing.outbox.folder.MessageFolder",
            "EMAIL_FILE_PATH": unquote(parts.path),
        }
    if parts.scheme not in {"smtp", "smtps"}:
        raise ValueError(f"UNDERCART_MAIL is {url!r}; use smtp://host:port, smtps://host:port or file:///folder")
    return {
        "EMAIL_BACKEND": "django.core.mail.backends.smtp.EmailBackend",
        "EMAIL_HOST": parts.hostname,
        "EMAIL_PORT": parts.port or (465 if parts.scheme == "smtps" else 25),
        "EMAIL_HOST_USER": unquote(parts.username or ""),
        "EMAIL_HOST_PASSWORD": unquote(parts.password or ""),
        "EMAIL_USE_SSL": parts.scheme == "smtps",
        "EMAIL_USE_TLS": "starttls" in parts.query,
        "EMAIL_TIMEOUT": 20,
    }
