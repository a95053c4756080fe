"""The cheapest way up: the least change of parts that lifts a panel to a target, proved by re-rating."""

from sccr.upgrade.changes import by_edition as by_edition
from sccr.upgrade.plan import Change as Change
from sccr.upgrade.plan import Plan as Plan
from sccr.upgrade.plan import UpgradePlan as UpgradePlan
from sccr.upgrade.planning import plan as plan
from sccr.upgrade.planning import staircase as staircase

__all__ = ["Change", "Plan", "UpgradePlan", "by_edition", "plan", "staircase"]
