"""The running of the service: what it counts, and the limits of load and time.

For views: rate with `rate_in_time`; run other work that computes, and has no lasting effect, with `in_time`; where a
long body is read piece by piece, call `expect_more` for each.
"""

from .in_time import in_time as in_time
from .load import limit_load as limit_load
from .metrics import metrics as metrics
from .metrics import observe as observe
from .patience import expect_more as expect_more
from .rating import rate_editions_in_time as rate_editions_in_time
from .rating import rate_in_time as rate_in_time

__all__ = ["expect_more", "in_time", "limit_load", "metrics", "observe", "rate_editions_in_time", "rate_in_time"]
