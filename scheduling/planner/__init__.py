"""The planner: pure functions from a problem and a moment to a plan.

`plan(problem, now, previous)` is the door; problem.py says what goes in and plan.py what comes out.
"""

from scheduling.planner.build import plan

__all__ = ["plan"]
