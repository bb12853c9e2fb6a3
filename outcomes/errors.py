"""What can go wrong, as a tree.

::

    OutcomesError          anything this package refuses to go on from
    ├── CodebookError      a codebook that cannot be used, naming the key
    ├── LogError           a file from which nothing can be read or learnt
    ├── RequestError       an argument that makes no sense (a factor that is not there)
    ├── PlanError          a plan that cannot be used or does not fit its log
    ├── FitError           a fit whose caller needed it to succeed
    └── ReportError        results that cannot be put into words or written to disk

A bad *row* is not an error: it becomes a `Finding`. A bad *fit* has a status.
Every message says where, what was found, what was expected and what to do now.
"""


class OutcomesError(Exception):
    """Anything this package refuses to go on from; the message is for the maker."""


class CodebookError(OutcomesError):
    """A codebook that cannot be used; the message names the file and the key."""


class LogError(OutcomesError):
    """A log file that cannot be read, or from which nothing can be learnt."""


class RequestError(OutcomesError):
    """A request that makes no sense for this log or this codebook."""


class PlanError(OutcomesError):
    """A plan that cannot be used, naming the line and the key, or that does not fit its log."""


class FitError(OutcomesError):
    """A fit that its caller needed to succeed did not."""


class ReportError(OutcomesError):
    """Results that cannot be put into words, or not be written where they were asked for."""
