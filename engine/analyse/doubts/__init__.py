"""The analysis `doubts`: what in the measured lengths looks wrong. Nothing is ever changed.

    order     lists written from the tip to the centre, rows or neighbours that were mixed up
    copies    columns that were pasted, values written several times
    levels    rows or sides that are off as a whole, or the whole wing
    lengths   single lengths far from their neighbours, with what may have been meant
    specification   specified lengths unlike their neighbours, or unlike the wing on both sides
    moves     changes from before to after that no entry explains; sides mixed up in between

The lengths by themselves are looked at first (`values`), but for what both measurings agree on,
which is no slip of one of them. What is doubted there is left out of all that others depend on
(`Doubt.left_out`), what is not assessed for that reason says so (`line_set`).
What one of them explains is not reported again by the ones below. The limits are tuned on simulated
wings; DEVELOPERS.md says how often they find a slip and how often they are wrong.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from trimscribe.analyse.doubts.moves import moves
from trimscribe.analyse.doubts.values import value_doubts
from trimscribe.contracts import CONTRACT
from trimscribe.model.findings import Doubt, DoubtKind, Findings, Verdict
from trimscribe.model.job import Job


@dataclass(frozen=True)
class Doubts:
    """Fills `doubts`: by measuring, each with the workshop's word where it gave one.

    Where left and right look mixed up no entry of the ledger keeps its verdict.
    """

    contract: int = CONTRACT
    name: str = "doubts"
    needs: tuple[str, ...] = ("ledger",)

    def analyse(self, job: Job, findings: Findings) -> Findings:
        """All doubts; what the job confirms without need is one more."""
        found = tuple(_all(job, findings))
        known = {doubt.name for doubt in found}
        needless = tuple(
            Doubt(DoubtKind.NOTHING, name, ("confirmed", name), ())
            for name in job.confirmed
            if name not in known
        )
        ledger = findings.ledger
        if any(d.kind is DoubtKind.SIDES_SWAPPED and d.confirmed is None for d in found):
            # Changes of lines that may stand on the wrong side prove no work, nor its absence.
            ledger = tuple(
                replace(entry, shown=None, verdict=Verdict.NOT_ASSESSED) for entry in ledger
            )
        return replace(findings, ledger=ledger, doubts=found + needless)


def _all(job: Job, findings: Findings) -> Iterator[Doubt]:
    reported = value_doubts(job)
    yield from reported
    for doubt in moves(job, findings, reported):
        yield replace(doubt, confirmed=job.confirmed.get(doubt.name))


analysis = Doubts()
