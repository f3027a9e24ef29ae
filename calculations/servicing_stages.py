"""The order in which a strut is serviced in full.

References
----------
.. [1] US Army TM 1-1500-204-23-1, *Aviation Unit and Intermediate Maintenance*, pages 9-5 and 9-6.
.. [2] USAF *Flying Safety*, August 2002: fluid is set with the strut fully compressed.
"""

from enum import IntEnum

from calculations.errors import refuse


class ServicingStage(IntEnum):
    """Full servicing of a strut, in the only order that is safe and right."""

    DEFLATE_CONFIRMED = 1
    FLUID_LEVEL_SET = 2
    VALVE_REFITTED = 3
    GAS_ADDED = 4
    MEASURED = 5
    LEAK_CHECK = 6
    RECORDED = 7


def next_stage(done: ServicingStage | None) -> ServicingStage | None:
    """Return the stage that comes after one, None after the last.

    Parameters
    ----------
    done : ServicingStage or None
        Last stage that is done; None when nothing is.

    Returns
    -------
    ServicingStage or None
        What comes now.

    References
    ----------
    .. [1] US Army TM 1-1500-204-23-1, p. 9-5; USAF Flying Safety, August 2002.

    Examples
    --------
    >>> next_stage(ServicingStage.FLUID_LEVEL_SET).name
    'VALVE_REFITTED'
    """
    following = 1 if done is None else done + 1
    return ServicingStage(following) if following in set(ServicingStage) else None


def advance(done: ServicingStage | None, claimed: ServicingStage) -> ServicingStage:
    """Accept the stage that comes next and refuse any other.

    Parameters
    ----------
    done : ServicingStage or None
        Last stage that is done.
    claimed : ServicingStage
        Stage that is said to be done now.

    Returns
    -------
    ServicingStage
        The claimed stage.

    Raises
    ------
    CalculationError
        If stages were skipped or come again.

    References
    ----------
    .. [1] US Army TM 1-1500-204-23-1, p. 9-5; USAF Flying Safety, August 2002.

    Examples
    --------
    >>> advance(None, ServicingStage.DEFLATE_CONFIRMED).name
    'DEFLATE_CONFIRMED'
    """
    expected = next_stage(done)
    if claimed is not expected:
        wanted = "nothing: all stages are done" if expected is None else expected.name.lower()
        raise refuse("stage", "out_of_order", f"next is {wanted}, not {claimed.name.lower()}")
    return claimed
