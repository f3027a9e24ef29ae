"""An entry on paper and as text: to be signed and pasted in."""

import textwrap
from io import BytesIO
from pathlib import Path
from typing import Final

import reportlab
from reportlab.lib.pagesizes import A4, letter
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from fleet.operators.models import Operator, UnitSystem
from servicing.records.models import RecordEntry
from servicing.records.queries import amendments_of

TEXT_WIDTH: Final = 78
_FONT: Final = "Vera"
_BOLD: Final = "VeraBd"
_MARGIN: Final = 20 * mm
_LINE: Final = 5 * mm
_SIZE: Final = 9
TO_FILL_IN: Final = "_" * 30
NOT_SIGNED: Final = "DRAFT - not completed, not signed"


def lines_of(entry: RecordEntry) -> list[tuple[str, str]]:
    """Return label and value of everything that goes on paper; what is not known is left out."""
    kind = entry.certificate_kind.replace("_", " ")
    total = f"{entry.total_time_hours:,.1f} h" if entry.total_time_hours is not None else ""
    landings = f"{entry.total_landings:,}" if entry.total_landings is not None else ""
    amends = f"entry {entry.amends.number}: {entry.amendment_reason}" if entry.amends else ""
    amended = "; ".join(f"entry {later.number}: {later.amendment_reason}" for later in amendments_of(entry))
    number = f"{entry.number}" if entry.number else NOT_SIGNED
    room = TO_FILL_IN if entry.completed_at is None else ""
    rows = [
        ("Aircraft", f"{entry.aircraft.registration}, {entry.aircraft.type_name}"),
        ("Entry", number),
        ("Amends", amends),
        ("Amended by", amended),
        ("Date of completion of the work", entry.work_completed_on.isoformat() if entry.work_completed_on else ""),
        ("Total time", total),
        ("Landings", landings),
        ("Description of work", entry.description),
        ("Data", entry.data_reference),
        ("Parts", entry.parts),
        ("Place", entry.location),
        ("Work done by", entry.performed_by),
        ("Declaration", entry.declaration),
        ("Approved for return to service, for the work described, by", entry.approver_name or room),
        ("Kind of certificate", kind or room),
        ("Certificate number", entry.certificate_number or room),
        ("Signature", entry.signature or room),
    ]
    return [(label, value) for label, value in rows if value]


def text_of(entry: RecordEntry, operator: Operator) -> str:
    """Return the entry as plain text."""
    lines = [operator.name, "Maintenance record entry", ""]
    for label, value in lines_of(entry):
        lines += textwrap.wrap(f"{label}: {value}", TEXT_WIDTH, subsequent_indent="    ")
    return "\n".join([*lines, "", *textwrap.wrap(foot_of(entry), TEXT_WIDTH)]) + "\n"


def foot_of(entry: RecordEntry) -> str:
    """Return the line that lets a printed entry be compared with the stored one."""
    if not entry.digest:
        return "A draft: the person who signs answers for the work and for the entry."
    return f"SHA-256 {entry.digest}, after {entry.previous_digest}."


def pdf_of(entry: RecordEntry, operator: Operator) -> bytes:
    """Return the entry on one or more sheets; the same entry gives the same bytes until another amends it."""
    _load_fonts()
    size = letter if operator.unit_system == UnitSystem.US else A4
    file = BytesIO()
    canvas = Canvas(file, pagesize=size, invariant=1)
    canvas.setTitle(f"Record entry {entry.number or 'draft'}, {entry.aircraft.registration}")
    sheet = _Sheet(canvas, size)
    sheet.write(operator.name, _BOLD, 12)
    sheet.write("Maintenance record entry", _BOLD, 10)
    for label, value in lines_of(entry):
        sheet.gap()
        sheet.write(label, _BOLD, 7)
        sheet.write(value, _FONT, _SIZE)
    sheet.gap()
    sheet.write(foot_of(entry), _FONT, 6)
    if not _is_printable(entry):
        sheet.write("Some letters cannot be shown here; the text print has them all.", _FONT, 6)
    canvas.save()
    return file.getvalue()


class _Sheet:
    """Writes lines from the top of a page to its end, then on the next."""

    def __init__(self, canvas: Canvas, size: tuple[float, float]) -> None:
        self._canvas = canvas
        self._width = size[0] - 2 * _MARGIN
        self._top = size[1] - _MARGIN
        self._height = self._top

    def write(self, text: str, font: str, size: int) -> None:
        for line in _wrapped(text, font, size, self._width):
            if self._height < _MARGIN:
                self._canvas.showPage()
                self._height = self._top
            self._canvas.setFont(font, size)
            self._canvas.drawString(_MARGIN, self._height, line)
            self._height -= _LINE * size / _SIZE

    def gap(self) -> None:
        self._height -= _LINE / 3


def _wrapped(text: str, font: str, size: int, width: float) -> list[str]:
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and pdfmetrics.stringWidth(longer, font, size) > width:
            lines.append(word)
        else:
            lines[-1] = longer
        while pdfmetrics.stringWidth(lines[-1], font, size) > width:
            # A word wider than the sheet, such as an endless serial number, is cut.
            fits = max(
                n for n in range(1, len(lines[-1])) if pdfmetrics.stringWidth(lines[-1][:n], font, size) <= width
            )
            lines[-1:] = [lines[-1][:fits], lines[-1][fits:]]
    return lines


def _load_fonts() -> None:
    # The PDF's built-in fonts have no letters beyond western Europe's; this one comes with the library.
    folder = Path(reportlab.__file__).parent / "fonts"
    for name in (_FONT, _BOLD):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(folder / f"{name}.ttf")))


def _is_printable(entry: RecordEntry) -> bool:
    known = pdfmetrics.getFont(_FONT).face.charToGlyph
    return all(ord(letter) in known for _, value in lines_of(entry) for letter in value)
