"""Many panels: rated one by one as one is, on all cores or on a cluster, and told in the order in which they came.

What rates a panel knows nothing of this. `executors` says what may rate: this process, others of this machine
(`processes`), or a cluster (`cluster`); one value chooses between them (`workers`).
"""

from sccr.many.executors import Executor as Executor
from sccr.many.outcome import Outcome as Outcome
from sccr.many.outcome import Refused as Refused
from sccr.many.rating import rate_many as rate_many
from sccr.many.workers import executor as executor
from sccr.many.workers import workers_of as workers_of

__all__ = ["Executor", "Outcome", "Refused", "executor", "rate_many", "workers_of"]
