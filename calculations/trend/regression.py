"""Ordinary least squares, with the digits that the certified data sets of NIST ask for.

References
----------
.. [1] NIST Statistical Reference Datasets, linear regression, https://www.itl.nist.gov/div898/strd/
.. [2] G. H. Golub and C. F. Van Loan, *Matrix Computations*, 4th ed., Johns Hopkins University
       Press, 2013, section 5.3: least squares by QR.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from calculations.checks import Checks, FloatArray
from calculations.distributions import student_t_quantile


@dataclass(frozen=True, slots=True)
class LeastSquares:
    """A fitted linear model.

    Parameters
    ----------
    coefficients, standard_errors : ndarray
        One per column, the intercept (if there is one) first [units of y over units of x].
    residual_sd : float
        Standard deviation of the residuals [units of y].
    residual_sum_of_squares : float
        Their sum of squares.
    degrees_of_freedom : int
        Observations less coefficients.
    r_squared : float
        Share of the variation explained: about the mean with an intercept, about 0 without.
    f_statistic : float
        Explained over residual mean square; infinite when the fit is exact.
    """

    coefficients: FloatArray
    standard_errors: FloatArray
    residual_sd: float
    residual_sum_of_squares: float
    degrees_of_freedom: int
    r_squared: float
    f_statistic: float

    def interval(self, column: int, confidence: float = 0.95) -> tuple[float, float]:
        """Return the Student t interval of one coefficient.

        Parameters
        ----------
        column : int
            Which coefficient.
        confidence : float
            Share of such intervals that hold the true value.

        Returns
        -------
        low, high : float
            Limits of the interval.
        """
        reach = student_t_quantile(0.5 + confidence / 2, self.degrees_of_freedom)
        middle, error = float(self.coefficients[column]), float(self.standard_errors[column])
        return middle - reach * error, middle + reach * error


def fit_through_origin(regressors: ArrayLike, observed: ArrayLike) -> LeastSquares:
    """Fit y = X b with no intercept.

    Parameters
    ----------
    regressors : array_like
        X, shape (n,) or (n, p).
    observed : array_like
        y, shape (n,).

    Returns
    -------
    LeastSquares
        p coefficients; R2 and F about 0.

    Raises
    ------
    CalculationError
        If shapes differ, observations are too few, or columns depend on each other.

    Notes
    -----
    Columns are scaled to unit length and factored by QR [1]_.

    References
    ----------
    .. [1] Golub and Van Loan (2013), section 5.3.

    Examples
    --------
    >>> round(float(fit_through_origin([1, 2, 3], [2, 4, 6.3]).coefficients[0]), 4)
    2.0643
    """
    design, y = _as_design(regressors, observed)
    coefficients, unscaled_variances = _solve(design, y)
    return _summary(coefficients, unscaled_variances, y - design @ coefficients, y, design.shape[1])


def fit_with_intercept(regressors: ArrayLike, observed: ArrayLike) -> LeastSquares:
    """Fit y = b0 + X b.

    Parameters
    ----------
    regressors : array_like
        X, shape (n,) or (n, p), without a column of ones.
    observed : array_like
        y, shape (n,).

    Returns
    -------
    LeastSquares
        Intercept first, then p coefficients; R2 and F about the mean.

    Raises
    ------
    CalculationError
        If shapes differ, observations are too few, or columns depend on each other.

    Notes
    -----
    The slopes are found on columns less their means: this is what keeps a year such as 1947 from
    eating half of the digits. The intercept and its error follow from the means.

    References
    ----------
    .. [1] Golub and Van Loan (2013), section 5.3.

    Examples
    --------
    >>> fit = fit_with_intercept([0, 1, 2, 3], [1.0, 3.1, 4.9, 7.0])
    >>> [round(float(b), 2) for b in fit.coefficients]
    [1.03, 1.98]
    """
    design, y = _as_design(regressors, observed)
    means, y_mean = design.mean(axis=0), y.mean()
    centred = design - means
    slopes, unscaled = _solve(centred, y - y_mean)
    intercept = y_mean - means @ slopes
    intercept_variance = 1 / y.size + _quadratic_form(centred, means)
    return _summary(
        np.concatenate(([intercept], slopes)),
        np.concatenate(([intercept_variance], unscaled)),
        (y - y_mean) - centred @ slopes,
        y - y_mean,
        design.shape[1],
    )


def _as_design(regressors: ArrayLike, observed: ArrayLike) -> tuple[FloatArray, FloatArray]:
    checks = Checks()
    design = checks.finite("regressors", regressors)
    y = checks.finite("observed", observed)
    design = design[:, np.newaxis] if design.ndim == 1 else design
    fits = y.ndim == 1 and design.ndim == 2 and design.shape[0] == y.size
    checks.require(fits, "regressors", "shape", f"must have one row for each of {y.size} observations")
    checks.require(
        design.ndim != 2 or y.size > design.shape[-1] + 1,
        "observed",
        "too_few",
        f"must hold more observations than coefficients, holds {y.size}",
    )
    checks.settle()
    return design, y


def _solve(design: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
    lengths = np.linalg.norm(design, axis=0)
    checks = Checks()
    checks.require(np.all(lengths > 0), "regressors", "dependent", "must vary: a column holds one value only")
    checks.settle()
    q, r = np.linalg.qr(design / lengths)
    independent = np.abs(np.diag(r)) > design.shape[0] * np.finfo(np.float64).eps
    checks.require(np.all(independent), "regressors", "dependent", "must be independent: a column repeats others")
    checks.settle()
    inverse = np.linalg.inv(r)
    coefficients = np.linalg.solve(r, q.T @ y) / lengths
    residuals = y - design @ coefficients
    # One step of refinement: Longley's columns are so alike that plain QR leaves some digits short
    coefficients = coefficients + np.linalg.solve(r, q.T @ residuals) / lengths
    return coefficients, np.sum(inverse**2, axis=1) / lengths**2


def _quadratic_form(centred: FloatArray, means: FloatArray) -> float:
    lengths = np.linalg.norm(centred, axis=0)
    _, r = np.linalg.qr(centred / lengths)
    half = np.linalg.solve(r.T, means / lengths)
    return float(half @ half)


def _summary(
    coefficients: FloatArray, unscaled_variances: FloatArray, residuals: FloatArray, y: FloatArray, explaining: int
) -> LeastSquares:
    degrees = y.size - coefficients.size
    residual_squares, squares = float(residuals @ residuals), float(y @ y)
    variance = residual_squares / degrees
    with np.errstate(divide="ignore", invalid="ignore"):
        r_squared = float(1 - np.float64(residual_squares) / squares)
        f_statistic = float((squares - residual_squares) / explaining / np.float64(variance))
    return LeastSquares(
        coefficients=coefficients,
        standard_errors=np.sqrt(variance * unscaled_variances),
        residual_sd=variance**0.5,
        residual_sum_of_squares=residual_squares,
        degrees_of_freedom=degrees,
        r_squared=r_squared,
        f_statistic=f_statistic,
    )
