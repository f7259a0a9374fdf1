"""Speeds in the workshop's unit: the same change, rounded again, never converted after rounding."""

from dataclasses import replace

import pytest

from trimscribe.formats import formats_for
from trimscribe.model.workshop import Writing
from trimscribe.narrate.filters import NBSP, WordFilters

WORDS = {
    "speed_range": "{low} to {high} {unit}",
    "speed_about": "about {high} {unit}",
    "speed_up_to": "up to {high} {unit}",
    "speed_at_least": "at least {low} {unit}",
}


@pytest.mark.parametrize(
    ("unit", "small", "full"),
    [
        ("", "½ to 2 km/h", f"38{NBSP}km/h"),
        ("km/h", "½ to 2 km/h", f"38{NBSP}km/h"),
        ("mph", "up to 1½ mph", f"24{NBSP}mph"),
        ("kn", "up to 1½ kn", f"21{NBSP}kn"),
    ],
)
def test_a_speed_is_rounded_outwards_in_the_unit_that_it_is_reported_in(
    unit: str, small: str, full: str
) -> None:
    words = WordFilters(formats_for("en_GB"), WORDS, Writing(speed_unit=unit))

    assert words.speed(0.55, 1.9) == small
    assert words.full_speed(38) == full


def test_no_other_unit_is_left_in_a_report(bench) -> None:
    job = bench.example("demo")
    workshop = replace(job.workshop, writing=Writing(speed_unit="kn"))
    said = bench.narrated(replace(job, workshop=workshop))
    texts = [s.text for s in (*said.sentences, *said.cautions)]

    assert any(" kn" in text for text in texts)
    assert not any("km/h" in text or "mph" in text for text in texts)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("C8 right, stabilo 1 right and B4 left", "stabilo 1 right (at the tip) and"),
        ("stabilo 2 and B4", "stabilo 2 (at the tip) and"),
        ("stabilo lines", "stabilo (at the tip) lines"),
        ("two maillons (worn)", "maillons (a link; worn)"),
    ],
)
def test_a_trade_word_is_explained_behind_the_name_of_the_line(text: str, said: str) -> None:
    glossary = {"stabilo": "at the tip", "maillon": "a link"}
    words = {"left": "left", "right": "right", "glossary": glossary}

    assert said in WordFilters(formats_for("en_GB"), words, Writing()).gloss(text)
