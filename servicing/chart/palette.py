"""How each kind of shape looks. No kind is told from another by its colour alone: form or words differ too."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Look:
    """Colour on a light and on a dark ground, and how the line runs."""

    light: str
    dark: str
    width: float = 1.0
    dashes: tuple[float, float] | None = None
    filled: bool = False
    opacity: float = 1.0


GROUND: Final = Look("#ffffff", "#14181d")

# Every colour of text and of marks has a contrast of at least 4.5 to 1 against its ground (WCAG 2.2, 1.4.3).
LOOKS: Final[Mapping[str, Look]] = {
    "words": Look("#1b2127", "#e8ecf0"),
    "small": Look("#505a64", "#aeb8c2"),
    "grid": Look("#dfe4e9", "#2b333b"),
    "axis": Look("#69737d", "#8a949e"),
    "limit": Look("#a8261c", "#ff8a7d", width=1.6),
    "limit words": Look("#a8261c", "#ff8a7d"),
    "target": Look("#4d6b1f", "#a6cc6a", width=1.2, dashes=(1.5, 3.0)),
    "target words": Look("#4d6b1f", "#a6cc6a"),
    "raw": Look("#69737d", "#8a949e", width=1.1),
    "corrected": Look("#0b57a4", "#7db8ff", filled=True),
    "aside": Look("#8a4b00", "#f2a65a", width=1.8),
    "trend": Look("#0b57a4", "#7db8ff", width=2.2),
    "band": Look("#0b57a4", "#7db8ff", filled=True, opacity=0.16),
    "forecast": Look("#0b57a4", "#7db8ff", width=1.8, dashes=(5.0, 4.0)),
    "forecast band": Look("#0b57a4", "#7db8ff", filled=True, opacity=0.09),
    "work": Look("#5f3b8f", "#c9a7f5", width=1.1, dashes=(2.5, 2.5)),
    "work words": Look("#5f3b8f", "#c9a7f5"),
    "today": Look("#69737d", "#8a949e", width=1.0),
}
