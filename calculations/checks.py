"""Input checks that gather every fault before refusing, so that a caller sees all at once."""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calculations.errors import CalculationError, Fault

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


class Checks:
    """Turn arguments into float arrays and remember what is wrong with them.

    Examples
    --------
    >>> checks = Checks()
    >>> weight = checks.positive("weight_lbf", 2006)
    >>> track = checks.positive("track_in", -1)
    >>> checks.settle()
    Traceback (most recent call last):
    ...
    calculations.errors.CalculationError: track_in: must be above 0, is -1
    """

    def __init__(self) -> None:
        self._faults: list[Fault] = []

    def finite(self, field: str, value: ArrayLike) -> FloatArray:
        """Take any real number; refuse text, nothing, not-a-number and infinity."""
        return self._take(field, value, np.isfinite, "not_a_number", "must be a finite number")

    def positive(self, field: str, value: ArrayLike) -> FloatArray:
        """Take numbers above 0."""
        return self._take(field, value, lambda a: a > 0, "not_positive", "must be above 0")

    def not_negative(self, field: str, value: ArrayLike) -> FloatArray:
        """Take 0 and numbers above it."""
        return self._take(field, value, lambda a: a >= 0, "negative", "must be 0 or more")

    def between(self, field: str, value: ArrayLike, low: float, high: float) -> FloatArray:
        """Take numbers from `low` to `high`, both included."""
        wanted = f"must be from {low:g} to {high:g}"
        return self._take(field, value, lambda a: (a >= low) & (a <= high), "out_of_range", wanted)

    def require(self, holds: BoolArray | np.bool_ | bool, field: str, code: str, message: str) -> None:
        """Note a fault wherever a condition that ties several arguments together does not hold."""
        self._faults += [Fault(field, code, message, place) for place in _places(np.asarray(np.logical_not(holds)))]

    def settle(self) -> None:
        """Raise `CalculationError` with every fault found so far, if there is one."""
        if self._faults:
            raise CalculationError(self._faults)

    def _take(
        self, field: str, value: ArrayLike, accepts: Callable[[FloatArray], BoolArray], code: str, wanted: str
    ) -> FloatArray:
        try:
            numbers = np.asarray(value, dtype=np.float64)
        except (TypeError, ValueError):
            self._faults.append(Fault(field, "not_a_number", f"must be a number, is {value!r}"))
            return np.asarray(np.nan)
        bad = ~(np.isfinite(numbers) & accepts(numbers))
        values = numbers[bad].flat
        self._faults += [
            Fault(field, code, f"{wanted}, is {value:g}", place)
            for value, place in zip(values, _places(bad), strict=False)
        ]
        return numbers


def _places(bad: BoolArray) -> list[int | None]:
    """Return where in a series, along whichever axis, something is bad; None once for one value or a grid."""
    if bad.ndim and bad.size == max(bad.shape):
        return list(np.flatnonzero(bad).tolist())
    return [None] if bad.any() else []
