"""A log with what the checks found."""

from dataclasses import dataclass

from outcomes.card import describe_line, render_card
from outcomes.finding import Finding
from outcomes.log.firing_log import FiringLog


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CheckedLog:
    """A log with what the checks found; ``refused`` says why nothing can be learnt, or None."""

    log: FiringLog
    findings: tuple[Finding, ...]
    refused: str | None

    def _facts(self) -> tuple[tuple[str, object], ...]:
        account = self.log.account
        return (
            ("", ", ".join(file.name for file in self.log.files)),
            (f"of {account.rows_read} rows used", account.rows_used),
            ("findings", len(self.findings)),
            ("", "something can be learnt" if self.refused is None else "refused"),
        )

    def __repr__(self) -> str:
        return describe_line("CheckedLog", self._facts())

    def _repr_html_(self) -> str:
        rows = [(one.severity, one.column, one.message) for one in self.findings]
        return render_card("Checked log", self._facts(), ["severity", "column", "finding"], rows)
