"""The work behind the requests: lines of batches, messages to webhooks, panels whose parts have changed.

It is done by processes beside those that answer (`beside` starts them), or by a program of its own (`alone`). They find
what there is to do in the store and nowhere else: killed at any moment, others go on where they were.
"""

from .loop import work as work
from .processes import alone as alone
from .processes import beside as beside
