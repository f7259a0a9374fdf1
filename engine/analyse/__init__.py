"""Analyse: a job to findings, in numbers only.

    line_set   before, after   state ◀ line_table, offsets, tolerance_check, rows, risers,
    change     change                  fit ▶ angles ▶ pitch, symmetry, brakes, speed
    ledger     what loops promise against what was measured
    doubts     what in the data looks wrong
    decision   by which rule results passed, and what that risks
    cloth, strength, inspection

The names at the left are the analyses; each fills its own part of the findings. Every quantity that
a pilot may notice is judged in `effects`, every limit in `verdicts`; every uncertainty comes from
`uncertainty`. What goes into each finding is in `trimscribe.model.origins`.
"""

from __future__ import annotations

from trimscribe.analyse.order import in_order
from trimscribe.model.findings import Findings
from trimscribe.model.job import Job
from trimscribe.registry import Registry


def analyse(job: Job, registry: Registry) -> Findings:
    """Let every analysis add its part to the findings, each after those it needs.

    Pure: no files, no clock. Raises PluginError when an analysis needs one that is not there or
    when their needs run in a circle.
    """
    findings = Findings()
    for analysis in in_order(registry.all("analyses")):
        findings = analysis.analyse(job, findings)
    return findings
