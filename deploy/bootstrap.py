"""One command on a bare machine: ``python3 deploy/bootstrap.py demo`` or ``test``; the standard library only.

No function and no modern syntax here: an old Python must get as far as being told that it is too old.
"""

import os
import sys

if __name__ == "__main__":
    if sys.version_info < (3, 11):  # noqa: UP036 - this is the check itself
        newer = [
            "python3.%d" % minor  # noqa: UP031 - Python 2 reads this line
            for minor in range(20, 10, -1)
            for folder in os.environ.get("PATH", "").split(os.pathsep)
            if os.access(os.path.join(folder, "python3.%d" % minor), os.X_OK)  # noqa: UP031
        ]
        sys.stderr.write(
            "undercart: this is Python %d.%d and Undercart needs 3.11 or newer; "  # noqa: UP031
            "start it with %s deploy/bootstrap.py %s\n"
            % (sys.version_info[0], sys.version_info[1], next(iter(newer), "python3.11"), " ".join(sys.argv[1:]))
        )
        sys.exit(1)
    if os.name != "posix":
        sys.stderr.write("undercart: this command needs Linux or macOS; on Windows use the Linux subsystem\n")
        sys.exit(1)
    # The folder of this file would otherwise come first, and its celery.py hide the library.
    sys.path[0] = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))

    from deploy.starting.command import main

    sys.exit(main(sys.argv[1:]))
