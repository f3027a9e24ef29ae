"""What the person at the keyboard sees; a closed terminal is no reason to leave children behind."""

import sys
import time
from contextlib import suppress


class Voice:
    """Prints lines, and one line that counts up where the output is a terminal."""

    def __init__(self) -> None:
        self.counting = False
        self.started_at = time.monotonic()

    def say(self, line: str = "") -> None:
        """Print a line."""
        with suppress(OSError, ValueError):
            if self.counting:
                print()
                self.counting = False
            print(line, flush=True)

    def count(self, done: int, total: int, what: str) -> None:
        """Show how far a long step is; without a terminal only now and then."""
        line = f"  {done:3d} of {total}  {what}"
        if sys.stdout.isatty():
            with suppress(OSError, ValueError):
                print(f"\r{line:<70}", end="", flush=True)
                self.counting = True
        elif done % 10 == 0 or done == total:
            self.say(line)

    def seconds(self) -> float:
        """Return the time since the start."""
        return time.monotonic() - self.started_at


VOICE = Voice()
say = VOICE.say
