"""Celery messages as files in a folder, for one machine without a message server.

Kombu's own folder transport shows a message before it is written in full, and takes it by moving it to
another disk; a reader that meets half a message dies of it. Here each message appears and is taken by one rename.
"""

from __future__ import annotations

import json
import os
import time
import uuid
from pathlib import Path
from queue import Empty
from typing import Any

from kombu.transport import TRANSPORT_ALIASES, filesystem

SCHEME = "folder"


class Channel(filesystem.Channel):
    """Puts and takes whole messages."""

    def _put(self, queue: str, payload: Any, **kwargs: Any) -> None:  # type: ignore[override]  # kombu's own bases disagree
        name = f"{time.time_ns():020d}_{uuid.uuid4()}.{queue}.msg"
        unfinished = Path(self.processed_folder, name)
        unfinished.write_text(json.dumps(payload))
        os.replace(unfinished, Path(self.data_folder_out, name))

    def _get(self, queue: str, timeout: float | None = None) -> Any:
        for name in sorted(os.listdir(self.data_folder_in)):
            if name.partition(".")[2] != f"{queue}.msg":
                continue
            taken = Path(self.processed_folder, name)
            try:
                os.replace(Path(self.data_folder_in, name), taken)
            except FileNotFoundError:
                continue  # another worker was faster
            message = json.loads(taken.read_text())
            taken.unlink()
            return message
        raise Empty


class Transport(filesystem.Transport):
    """The transport behind ``folder://``."""

    Channel = Channel


TRANSPORT_ALIASES[SCHEME] = f"{__name__}:Transport"
