"""What the filter makes of a leak of one unit a month, reading by reading.

Notes
-----
Had the strut lost ``r f(t)`` since ``tau``, ``f = -(t - tau)``, the filter's innovation would have moved by
``r g`` with ``g = f - H m`` and ``m += K g`` (the filter's own answer to the ramp) [1]_. So one filter
serves every leak that might have begun.

References
----------
.. [1] A. S. Willsky and H. L. Jones, "A generalized likelihood ratio approach to the detection and
       estimation of jumps in linear systems", IEEE Trans. Automatic Control 21 (1976) 108.
"""

import numpy as np

from calculations.drift.filter import SETTLE, STATES, Filtered
from calculations.drift.histories import Single
from calculations.drift.lanes import Lanes
from calculations.drift.model import DAYS_PER_MONTH, DriftModel


class UnitLeaks:
    """Leaks of one unit a month in slots, each since its ``start`` [days after the lane's first reading]."""

    def __init__(self, lanes: Lanes, filtered: Filtered, slots: int) -> None:
        width = lanes.value.shape[1]
        self.start = np.full((slots, width), np.float32(np.inf), np.float32)
        self.response = np.zeros((STATES, slots, width), np.float32)
        self._products = np.empty((STATES, slots, width), np.float32)
        self._h, self._gain = filtered.h.astype(np.float32), filtered.gain
        self._ages = (lanes.day - lanes.day[0]).astype(np.float32)
        self._settle_variance = lanes.settle_variance
        self._settles = np.any(lanes.settle_variance > 0, axis=1).tolist()

    def shape(self, step: int, out: Single) -> Single:
        """Put into ``out`` what each leak would have done to the innovations of a step, (slots, lanes so far)."""
        n = out.shape[1]
        response, products = self.response[:, :, :n], self._products[:, :, :n]
        if self._settles[step]:
            response[SETTLE, :, self._settle_variance[step, :n] > 0] = 0.0
        np.subtract(self.start[:, :n], self._ages[step, :n], out=out)
        out *= np.float32(1.0 / DAYS_PER_MONTH)
        np.minimum(out, np.float32(0.0), out=out)
        np.multiply(response, self._h[step, :, None, :n], out=products)
        out -= np.add.reduce(products)
        np.multiply(self._gain[step, :, None, :n], out, out=products)
        response += products
        return out


def inverse_sd(lanes: Lanes, filtered: Filtered, model: DriftModel) -> Single:
    """Return by what innovations are standardised, 0 where there is no reading, (steps, lanes).

    Where either the level may be wrong or the reading, it is as wide as the level is opened then.
    """
    sd = np.hypot(filtered.sd, model.doubted_level_sd * filtered.doubted)
    return np.asarray(np.divide(1.0, sd, where=lanes.position >= 0, out=np.zeros_like(sd)), np.float32)
