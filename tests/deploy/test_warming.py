"""What a process has loaded when it is warm."""

import gc

from deploy.warming import warm_up


def test_a_warm_process_is_not_searched_for_garbage_again() -> None:
    try:
        warm_up()
        assert gc.get_freeze_count() > 0
    finally:
        gc.unfreeze()
