"""Emptying folders that this project made itself."""

import shutil
from pathlib import Path


def empty(folder: Path, keep: Path | None = None) -> None:
    """Remove what is in a folder; the folder stays, for it may be a disk of its own."""
    for path in folder.iterdir():
        if path == keep:
            continue
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        else:
            path.unlink()
