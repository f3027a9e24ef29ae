"""A strut as it is: gas that obeys physics, a seal that sticks, a ruler that is read in sixteenths."""

from dataclasses import dataclass

from calculations.strut import StrutFigures, charge_mol, extension_in
from calculations.supply.demand import RestingStrut, gas_for_rise_mol

FREED = {"not": 1.0, "rocked": 0.2, "taxied": 0.05, "flown": 0.0}  # share of the friction that is left; ASSUMED
RULER_IN = 1 / 16


@dataclass
class LiveStrut:
    """One strut with its true charge; the ruler shows where friction lets it rest."""

    figures: StrutFigures
    charge_mol: float
    friction_share: float
    shown_in: float
    load_lbf: float
    temperature_f: float = 70.0
    binding: float = 0.0  # share of the load that holds it until it is taxied or flown

    @classmethod
    def resting_at(
        cls, extension: float, figures: StrutFigures, *, friction_share: float = 0.03, **conditions: float
    ) -> "LiveStrut":
        """Return a strut whose charge gives ``extension`` at the figures' own load and temperature."""
        load = float(figures.reference_load_lbf)  # type: ignore[arg-type]  # scalar here
        strut = cls(figures, 0.0, friction_share, extension, load, **conditions)
        strut.charge_mol = float(charge_mol(extension, 70.0, load, figures))
        return strut

    def add(self, rise_in: float) -> None:
        """Add the gas that lengthens a free strut so far; below 0 lets it out."""
        area = float(self.figures.area_in2)
        pressure = 14.69595 + self.load_lbf / area
        self.charge_mol += float(gas_for_rise_mol(rise_in, RestingStrut(pressure, area, self.temperature_f)))
        self._settle("not")

    def exercise(self, how: str) -> None:
        """Rock, taxi or fly it."""
        self._settle(how)

    def ruler(self) -> str:
        """Return what the ruler shows."""
        return f"{round(self.shown_in / RULER_IN) * RULER_IN} in"

    def _settle(self, how: str) -> None:
        bound = self.binding if how in ("not", "rocked") else 0.0
        held = (self.friction_share * FREED[how] + bound) * self.load_lbf
        shortest, longest = (self._length(self.load_lbf + force) for force in (held, -held))
        self.shown_in = min(max(self.shown_in, shortest), longest)

    def _length(self, load_lbf: float) -> float:
        full = float(self.figures.full_extension_in)  # type: ignore[arg-type]  # scalar here
        rest = extension_in(self.charge_mol, self.temperature_f, max(load_lbf, 1.0), self.figures)
        return min(max(float(rest.extension_in), 0.0), full)
