"""Facts of the trade for light aircraft: common practice, no source.

They serve as starting points where a type sheet and a person's own log are silent, and are shown as
such. The aircraft's own manual goes before every one of them.
"""

from typing import Final

MAIN_EXTENSION_IN: Final = 4.5  # [in] of tube exposed on a main leg at rest
NOSE_EXTENSION_IN: Final = 3.25  # [in] of tube exposed on a nose leg at rest
LEAST_MAIN_PRESSURE_PSIG: Final = 175.0  # [psi gauge] that a main strut holds at rest, or more
SHOP_COMPRESSOR_PSIG: Final = 120.0  # [psi gauge] that a workshop's compressor gives
RISE_PER_STROKE_IN: Final = 0.25  # [in] that one stroke of a strut hand pump lengthens a main strut
RISE_PER_STROKE_VARIATION: Final = 0.35  # relative spread of it among pumps and struts, assumed
TOLERANCE_IN: Final = 0.25  # [in] about the target that counts as right, where the sheet gives none
STICTION_BAND_IN: Final = 0.32  # [in] that friction of 5 % of the load can hold a main strut from its place, assumed
