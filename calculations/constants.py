"""Physical constants and exact conversions; every other module takes them from here.

References
----------
.. [1] E. Tiesinga et al., "CODATA recommended values of the fundamental physical constants:
       2018", Rev. Mod. Phys. 93, 025010 (2021): molar gas constant.
.. [2] International yard and pound agreement, 1959: inch and pound, exact.
.. [3] U.S. Standard Atmosphere, NOAA/NASA/USAF, 1976.
"""

from typing import Final

GAS_CONSTANT: Final = 8.314462618  # [J/(mol K)], [1]
INCH_M: Final = 0.0254  # [m], exact, [2]
POUND_KG: Final = 0.45359237  # [kg], exact, [2]
STANDARD_GRAVITY: Final = 9.80665  # [m/s2], exact, [3]
STANDARD_ATMOSPHERE_PA: Final = 101325.0  # [Pa], exact, [3]

POUND_FORCE_N: Final = POUND_KG * STANDARD_GRAVITY  # [N]
PSI_PA: Final = POUND_FORCE_N / INCH_M**2  # [Pa]
CUBIC_INCH_M3: Final = INCH_M**3  # [m3]
STANDARD_ATMOSPHERE_PSI: Final = STANDARD_ATMOSPHERE_PA / PSI_PA  # [psi] absolute
ZERO_CELSIUS_K: Final = 273.15  # [K], exact
ZERO_FAHRENHEIT_K: Final = 459.67 / 1.8  # [K], exact
