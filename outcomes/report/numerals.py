"""Numbers as a researcher reads them: significant digits, true minus signs, a dash for none."""

import math

NONE = "–"
SMALLEST_P = 1e-4


def number(value: float | None, *, digits: int = 3) -> str:
    """Return a number with so many significant digits, zeros at the end kept.

    >>> number(-0.012345), number(1234.6), number(None), number(float("inf"))
    ('−0.0123', '1235', '–', '∞')
    """
    if value is None or math.isnan(value):
        return NONE
    if math.isinf(value):
        return "∞" if value > 0 else "−∞"
    if value == 0:
        return "0"
    size = math.floor(math.log10(abs(float(f"{value:.{digits - 1}e}"))))
    if not -5 <= size < 7:
        return _signed(f"{value:.{digits - 1}e}")
    return _signed(f"{value:.{max(0, digits - 1 - size)}f}")


def decimal(value: float | None, *, places: int) -> str:
    """Return a number with so many decimal places.

    >>> decimal(-12.345, places=1), decimal(-0.01, places=1), decimal(None, places=2)
    ('−12.3', '0.0', '–')
    """
    if value is None or not math.isfinite(value):
        return number(value)
    text = f"{value:.{places}f}"
    return _signed(text.removeprefix("-") if float(text) == 0 else text)


def span(low: float | None, high: float | None, *, places: int = 1) -> str:
    """Return an interval as "low to high", or the dash.

    >>> span(-3.04, 12.5), span(None, 1.0)
    ('−3.0 to 12.5', '–')
    """
    if low is None or high is None:
        return NONE
    return f"{decimal(low, places=places)} to {decimal(high, places=places)}"


def span_digits(low: float | None, high: float | None, *, digits: int = 3) -> str:
    """Return an interval whose ends have so many significant digits each."""
    if low is None or high is None:
        return NONE
    return f"{number(low, digits=digits)} to {number(high, digits=digits)}"


def probability(value: float | None) -> str:
    """Return a p value: two significant digits, never 0.

    >>> probability(0.0312), probability(2e-9), probability(1.0), probability(None)
    ('0.031', '< 0.0001', '1.00', '–')
    """
    if value is None or math.isnan(value):
        return NONE
    if value < SMALLEST_P:
        return f"< {SMALLEST_P:.4f}"
    return f"{value:.2f}" if value >= 0.1 else number(value, digits=2)


def _signed(text: str) -> str:
    return text.replace("-", "−")
