"""Tables of a gas's compressibility, made once per process from a reference equation of state.

References
----------
.. [1] R. Span et al., J. Phys. Chem. Ref. Data 29 (2000) 1361: equation of state of nitrogen.
.. [2] E. W. Lemmon et al., J. Phys. Chem. Ref. Data 29 (2000) 331: dry air.
.. [3] I. H. Bell et al., Ind. Eng. Chem. Res. 53 (2014) 2498: CoolProp.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any, Final, NamedTuple

import numpy as np
import numpy.typing as npt
from numpy.polynomial import chebyshev, polynomial

from calculations.constants import GAS_CONSTANT

Array = npt.NDArray[np.float64]

LOWEST_TEMPERATURE_K: Final = 220.0
HIGHEST_TEMPERATURE_K: Final = 350.0
HIGHEST_PRESSURE_PA: Final = 350e5

# Three pressure ranges, each with the polynomial degrees (pressure, inverse temperature) that hold
# ln Z to 3e-8 there. A resting strut of a light aircraft always lies in the first one.
_RANGES_PA: Final = (
    (0.0, 60e5, 8, 7),
    (60e5, 150e5, 10, 8),
    (150e5, HIGHEST_PRESSURE_PA, 11, 9),
)
# Rows evaluated at once: they stay in the cache, and the matrix product stays below the size at which
# linear-algebra libraries start threads, which fight each other on a busy server.
_BLOCK: Final = 4096
_INVERSE_MIDDLE: Final = (1 / LOWEST_TEMPERATURE_K + 1 / HIGHEST_TEMPERATURE_K) / 2
_INVERSE_HALF: Final = (1 / LOWEST_TEMPERATURE_K - 1 / HIGHEST_TEMPERATURE_K) / 2


class LogCompressibility(NamedTuple):
    """ln Z [-] and its partial slopes in pressure [1/Pa] and temperature [1/K]."""

    value: Array
    pressure_slope: Array
    temperature_slope: Array


@dataclass(frozen=True, slots=True)
class _Patch:
    """ln Z = p G(p, 1/T) over one pressure range; G is a polynomial in scaled variables."""

    low_pa: float
    high_pa: float
    powers: Array  # (pressure power, temperature power)

    def log_z(self, pressure_pa: Array, temperature_k: Array) -> Array:
        """Return ln Z for two arrays of one length."""
        found = np.empty(pressure_pa.size)
        for rows in _blocks(pressure_pa.size):
            by_pressure = self.powers @ _temperature_powers(temperature_k[rows], self.powers.shape[1])
            found[rows] = _horner(by_pressure, self._scaled(pressure_pa[rows])) * pressure_pa[rows]
        return found

    def slopes(self, pressure_pa: Array, temperature_k: Array) -> LogCompressibility:
        """Return ln Z and its slopes for two arrays of one length."""
        found = LogCompressibility(*(np.empty(pressure_pa.size) for _ in range(3)))
        for rows in _blocks(pressure_pa.size):
            for whole, part in zip(found, self._block_slopes(pressure_pa[rows], temperature_k[rows]), strict=True):
                whole[rows] = part
        return found

    def _block_slopes(self, pressure_pa: Array, temperature_k: Array) -> LogCompressibility:
        count = self.powers.shape[1]
        monomials = _temperature_powers(temperature_k, count)
        by_pressure = self.powers @ monomials
        bent_by_temperature = (self.powers[:, 1:] * np.arange(1, count)) @ monomials[:-1]
        scaled = self._scaled(pressure_pa)
        quotient, bent = _horner_with_slope(by_pressure, scaled)
        temperature_slope = _horner(bent_by_temperature, scaled) * pressure_pa
        temperature_slope /= -_INVERSE_HALF * temperature_k * temperature_k
        pressure_slope = quotient + pressure_pa * bent * (2 / (self.high_pa - self.low_pa))
        return LogCompressibility(quotient * pressure_pa, pressure_slope, temperature_slope)

    def _scaled(self, pressure_pa: Array) -> Array:
        return (pressure_pa - (self.low_pa + self.high_pa) / 2) * (2 / (self.high_pa - self.low_pa))


@dataclass(frozen=True, slots=True)
class GasTable:
    """Compressibility of one gas from 220 to 350 K and up to 350 bar.

    Attributes
    ----------
    gas_constant : float
        Molar gas constant of the equation of state [J/(mol K)]; the reference equations were fitted
        with an older value than today's, and a density follows theirs.
    molar_mass_kg : float
        [kg/mol], NaN for the ideal gas.
    second_virial, third_virial : ndarray
        Polynomial coefficients in scaled inverse temperature, [m3/mol] and [m6/mol2].
    """

    gas_constant: float
    molar_mass_kg: float
    patches: tuple[_Patch, ...]
    second_virial: Array
    third_virial: Array

    def log_z(self, pressure_pa: Array, temperature_k: Array) -> Array:
        """Return ln Z [-]; the caller has checked the range."""
        if not self.patches:
            return np.zeros(np.broadcast_shapes(pressure_pa.shape, temperature_k.shape))
        pressure, temperature = np.broadcast_arrays(pressure_pa, temperature_k)
        if _inside_first(pressure_pa, self.patches[0]):
            return self.patches[0].log_z(pressure.ravel(), temperature.ravel()).reshape(pressure.shape)
        result = np.empty(pressure.shape)
        for patch, chosen in _choose(self.patches, pressure):
            result[chosen] = patch.log_z(pressure[chosen], temperature[chosen])
        return result

    def slopes(self, pressure_pa: Array, temperature_k: Array) -> LogCompressibility:
        """Return ln Z with its partial slopes; the caller has checked the range."""
        pressure, temperature = np.broadcast_arrays(pressure_pa, temperature_k)
        if not self.patches:
            zero = np.zeros(pressure.shape)
            return LogCompressibility(zero, zero, zero)
        if _inside_first(pressure_pa, self.patches[0]):
            flat = self.patches[0].slopes(pressure.ravel(), temperature.ravel())
            return LogCompressibility(*(part.reshape(pressure.shape) for part in flat))
        parts = LogCompressibility(*(np.empty(pressure.shape) for _ in range(3)))
        for patch, chosen in _choose(self.patches, pressure):
            for part, found in zip(parts, patch.slopes(pressure[chosen], temperature[chosen]), strict=True):
                part[chosen] = found
        return parts

    def virials(self, temperature_k: Array) -> tuple[Array, Array]:
        """Return B [m3/mol] and C [m6/mol2]."""
        scaled = _scaled_inverse(temperature_k)
        second: Array = polynomial.polyval(scaled, self.second_virial).astype(np.float64)
        third: Array = polynomial.polyval(scaled, self.third_virial).astype(np.float64)
        return second, third


IDEAL_TABLE: Final = GasTable(GAS_CONSTANT, float("nan"), (), np.zeros(1), np.zeros(1))


@cache
def tabulate(fluid: str) -> GasTable:
    """Return the table of a fluid by its name in the property library; made on first use.

    The library reads its whole fluid list when it is imported, which takes seconds: hence the
    import inside, and a long-running process may call this early.
    """
    from CoolProp import CoolProp

    state = CoolProp.AbstractState("HEOS", fluid)
    return GasTable(
        gas_constant=float(state.gas_constant()),
        molar_mass_kg=float(state.molar_mass()),
        patches=tuple(_fit_patch(CoolProp, state, *spec) for spec in _RANGES_PA),
        second_virial=_fit_virial(CoolProp, state, state.Bvirial),
        third_virial=_fit_virial(CoolProp, state, state.Cvirial),
    )


def _fit_patch(library: Any, state: Any, low_pa: float, high_pa: float, degree: int, order: int) -> _Patch:
    nodes_p = chebyshev.chebpts1(degree + 5)
    nodes_t = chebyshev.chebpts1(order + 5)
    pressures = (low_pa + high_pa) / 2 + nodes_p * (high_pa - low_pa) / 2
    temperatures = 1 / (_INVERSE_MIDDLE + nodes_t * _INVERSE_HALF)
    quotient = np.empty((pressures.size, temperatures.size))
    for row, pressure in enumerate(pressures):
        for column, temperature in enumerate(temperatures):
            state.update(library.PT_INPUTS, float(pressure), float(temperature))
            quotient[row, column] = np.log(state.compressibility_factor()) / pressure
    left = np.linalg.pinv(chebyshev.chebvander(nodes_p, degree))
    right = np.linalg.pinv(chebyshev.chebvander(nodes_t, order))
    powers = _power_matrix(degree).T @ (left @ quotient @ right.T) @ _power_matrix(order)
    return _Patch(low_pa, high_pa, powers)


def _fit_virial(library: Any, state: Any, read: Callable[[], float]) -> Array:
    nodes = chebyshev.chebpts1(16)
    values = []
    for node in nodes:
        state.update(library.DmolarT_INPUTS, 1e-6, float(1 / (_INVERSE_MIDDLE + node * _INVERSE_HALF)))
        values.append(read())
    return np.asarray(chebyshev.cheb2poly(chebyshev.chebfit(nodes, np.array(values), 10)))


def _power_matrix(degree: int) -> Array:
    """Rows: powers of each Chebyshev polynomial up to `degree`."""
    matrix = np.zeros((degree + 1, degree + 1))
    for index in range(degree + 1):
        matrix[index, : index + 1] = chebyshev.cheb2poly([0.0] * index + [1.0])
    return matrix


def _blocks(size: int) -> list[slice]:
    return [slice(start, start + _BLOCK) for start in range(0, size, _BLOCK)]


def _scaled_inverse(temperature_k: Array) -> Array:
    return (1 / temperature_k - _INVERSE_MIDDLE) / _INVERSE_HALF


def _temperature_powers(temperature_k: Array, count: int) -> Array:
    powers = np.empty((count, temperature_k.size))
    powers[0] = 1.0
    powers[1] = _scaled_inverse(temperature_k)
    for index in range(2, count):
        np.multiply(powers[index - 1], powers[1], out=powers[index])
    return powers


def _horner(rows: Array, at: Array) -> Array:
    total: Array = rows[-1] * at
    for row in rows[-2:0:-1]:
        total += row
        total *= at
    total += rows[0]
    return total


def _horner_with_slope(rows: Array, at: Array) -> tuple[Array, Array]:
    total = rows[-1] * at
    total += rows[-2]
    slope = np.broadcast_to(rows[-1], total.shape).copy()
    for row in rows[-3::-1]:
        slope *= at
        slope += total
        total *= at
        total += row
    return total, slope


def _inside_first(pressure_pa: Array, patch: _Patch) -> bool:
    return bool(np.all(pressure_pa <= patch.high_pa))


def _choose(patches: tuple[_Patch, ...], pressure: Array) -> list[tuple[_Patch, npt.NDArray[np.bool_]]]:
    pairs = [(patch, (pressure > patch.low_pa) & (pressure <= patch.high_pa)) for patch in patches]
    return [(patch, chosen) for patch, chosen in pairs if chosen.any()]
