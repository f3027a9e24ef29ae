"""Text cells that a spreadsheet would run as a formula, made harmless and back again."""

import re

# Half- and full-width forms; tab, CR and LF because spreadsheets trim them and run what follows.
_RUNS = "=+\\-@\t\r\n\uff1d\uff0b\uff0d\uff20"
_NEEDS_QUOTE = re.compile(f"'*[{_RUNS}]")
_HAS_QUOTE = re.compile(f"'+[{_RUNS}]")


def neutralise_formula(text: str) -> str:
    """Return ``text`` so that a spreadsheet shows it instead of running it; for text cells, not numbers."""
    return f"'{text}" if _NEEDS_QUOTE.match(text) else text


def restore_formula(text: str) -> str:
    """Undo `neutralise_formula` exactly."""
    return text[1:] if _HAS_QUOTE.match(text) else text
