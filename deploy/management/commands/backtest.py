"""Write what an operator would have been told as a CSV file."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from calculations.errors import CalculationError
from fleet.operators.models import Operator
from servicing.backtest.csv_file import csv_lines
from servicing.backtest.replaying import chosen_settings, told


class Command(BaseCommand):
    """Replays one operator's history."""

    help = "Replay an operator's history, as it is known today, and write every finding told on the way as CSV."

    def add_arguments(self, parser: CommandParser) -> None:
        """Name the operator, the file and, if wanted, thresholds to try."""
        parser.add_argument("--operator", required=True, help="The operator's name, exactly.")
        parser.add_argument("--out", required=True, help="The file to write; - for standard output.")
        parser.add_argument("--false-alarms-per-strut-year", type=float, help="Instead of the operator's own.")
        parser.add_argument("--notice-days", type=float, help="Instead of the operator's own.")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the file and say how many findings are in it."""
        operator = Operator.objects.filter(name=options["operator"]).first()
        if operator is None:
            raise CommandError(f"no operator is named {options['operator']!r}")
        try:
            settings = chosen_settings(
                operator.pk,
                false_alarms_per_year=options["false_alarms_per_strut_year"],
                notice_days=options["notice_days"],
            )
        except CalculationError as refused:
            raise CommandError(str(refused)) from None
        rows = told(operator.pk, settings)
        content = b"".join(csv_lines(rows))
        if options["out"] == "-":
            sys.stdout.buffer.write(content)
            return
        try:
            Path(options["out"]).write_bytes(content)
        except OSError as fault:
            raise CommandError(f"cannot write {options['out']}: {fault.strerror}") from None
        self.stdout.write(f"{len(rows)} findings written to {options['out']}")
