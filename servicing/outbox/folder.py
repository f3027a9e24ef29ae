"""A mail backend for trying things out: every message becomes one file in a folder."""

import hashlib
import os
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend


class MessageFolder(BaseEmailBackend):
    """Writes ``.eml`` files named by Message-ID, so that the same message sent twice is one file."""

    def __init__(self, file_path: str | None = None, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.folder = Path(file_path or settings.EMAIL_FILE_PATH)  # type: ignore[misc]  # set only where this backend is

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        """Write each message whole or not at all."""
        self.folder.mkdir(parents=True, exist_ok=True)
        for message in email_messages:
            built = message.message()
            target = self.folder / f"{_file_name(str(built['Message-ID']))}.eml"
            draft = target.with_suffix(f".{os.getpid()}.part")
            draft.write_bytes(built.as_bytes())
            draft.replace(target)
        return len(email_messages)


def _file_name(message_id: str) -> str:
    """Return a file name for a Message-ID; one that had to be altered carries a digest, to stay unique.

    >>> _file_name("<3f.alert@example.org>")
    '3f.alert@example.org'
    """
    bare = message_id.strip("<> ")
    safe = re.sub(r"[^\w.@+-]", "_", bare)[:120].lstrip(".")
    return safe if safe == bare else f"{safe}.{hashlib.sha256(bare.encode()).hexdigest()[:12]}"
