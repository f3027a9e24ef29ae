"""How Celery's messages travel: they are only nudges, the rows in the database are the truth."""

from pathlib import Path
from typing import Any

from deploy.folder_transport import SCHEME

SERVERLESS_BROKER = f"{SCHEME}://"


def broker_options(url: str, data_dir: Path) -> dict[str, Any]:
    """Return the transport options for the broker at ``url``.

    A folder serves one machine without any server. For Redis the figures make a task come back
    soon after its worker was killed; its visibility timeout stays above the longest task (600 s).
    """
    if url.startswith(SCHEME):
        folders = {name: data_dir / "queue" / name for name in ("messages", "taken", "control")}
        for folder in folders.values():
            folder.mkdir(parents=True, exist_ok=True)
        return {
            "data_folder_in": str(folders["messages"]),
            "data_folder_out": str(folders["messages"]),
            "processed_folder": str(folders["taken"]),
            "control_folder": str(folders["control"]),
        }
    if url.startswith("redis"):
        return {"visibility_timeout": 900, "unacked_restore_interval": 10, "unacked_restore_throttle": 1}
    return {}
