"""Plan: a job whose loops as found are stated, to a proposed retrim. It proposes, never decides.

    refusals ▶ lines ▶ response ▶ search ▶ planned wing, looked at by the real analysis ▶ brakes

A stage beside the report's: the analysis is handed in, so that no stage knows another. SciPy loads
here, so this is imported late.
"""

from trimscribe.plan.propose import propose

__all__ = ["propose"]
