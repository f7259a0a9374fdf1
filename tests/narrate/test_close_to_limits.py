"""What lies too close to its limit to be sure is neither called good nor bad, and not left out."""

from types import SimpleNamespace

import pytest

from trimscribe.model.decision import Acceptance, DecisionRule
from trimscribe.model.job import (
    Porosity,
    PorosityReading,
    PorosityUnit,
    StrengthTest,
    TearReading,
    TearTest,
)
from trimscribe.model.wing import Side

GUARDED = DecisionRule(Acceptance.GUARDED, 2.0)


def pulled(load_n: float) -> StrengthTest:
    return StrengthTest(
        "A1", load_n, broke=True, required_n=800.0, side=Side.LEFT, uncertainty_n=15.0
    )


@pytest.mark.parametrize(("load_n", "clear"), [(790.0, False), (700.0, True)])
def test_a_line_that_broke_close_to_its_load_is_not_said_to_have_broken_too_early(
    bench, load_n, clear
):
    told = bench.narrated(bench.job(strength=(pulled(load_n),), decision_rule=GUARDED))
    texts = {s.rule: s.text for s in (*told.sentences, *told.cautions)}

    for rule in ("headline_stop_strength", "found_weak_line", "caution_strength"):
        assert ("too close to its required load to be sure" in texts[rule]) is not clear
    assert ("but too close to it to be sure" in texts["strength_failed"]) is not clear
    (title,) = [c.title for c in told.cautions if c.rule == "caution_strength"]
    assert title == ("A line broke too early" if clear else "A line perhaps broke too early")


@pytest.mark.parametrize(
    ("value", "tear_mm", "said"),
    [
        (24.0, 1.0, ["found_porous"]),
        (90.0, 4.6, ["found_torn"]),
        (24.0, 9.0, ["found_porous", "found_torn"]),
        (9.0, 9.0, ["found_cloth_both"]),
        (90.0, 1.0, []),
    ],
)
def test_page_one_speaks_of_cloth_that_is_too_close_to_its_limit(
    bench: SimpleNamespace, value, tear_mm, said
):
    porosity = Porosity(
        PorosityUnit.SECONDS, (PorosityReading("tip", value),), limit=20.0, uncertainty=3.0
    )
    tear = TearTest((TearReading("tip", tear_mm),), limit_mm=5.0, uncertainty_mm=0.5)
    told = bench.narrated(bench.job(porosity=porosity, tear=tear, decision_rule=GUARDED))
    cloth = ("found_porous", "found_torn", "found_cloth_both", "found_cloth_near")

    assert [s.rule for s in told.sentences if s.rule in cloth] == said


def test_only_the_test_of_which_no_uncertainty_is_stated_is_named(bench):
    porosity = Porosity(
        PorosityUnit.SECONDS, (PorosityReading("tip", 90.0),), limit=20.0, uncertainty=3.0
    )
    tear = TearTest((TearReading("tip", 1.0),), limit_mm=5.0)
    told = bench.narrated(bench.job(porosity=porosity, tear=tear, decision_rule=GUARDED))
    (unsure,) = [s.text for s in told.sentences if s.rule == "decision_unsure"]

    assert unsure.startswith("For the tear test no uncertainty was stated, so")
