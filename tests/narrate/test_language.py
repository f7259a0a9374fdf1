"""A language: English is whole and all said somewhere, and a second one is one more folder."""

import ast
import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

from trimscribe.assess import DECLARED
from trimscribe.errors import Fault, PhraseError
from trimscribe.model.job import Job
from trimscribe.model.statements import Place
from trimscribe.model.workshop import Workshop
from trimscribe.narrate.catalogue import load_catalogue, load_labels
from trimscribe.narrate.languages import en
from trimscribe.narrate.rules import load_rules
from trimscribe.narrate.written import Faults

FACTS = frozenset(DECLARED)
RULES = load_rules(FACTS)
NUMBERS = "[keine, eins, zwei, drei, vier]"
WORDS = f"""\
words:
  left: links
  right: rechts
  should: sollte
  may: kann
  numbers: {NUMBERS}
  and_more: "{{count}} weitere"
  but_close: " bis auf {{count}}"
  but_sides_close: " bis auf links gegen rechts"
  row: "Reihe {{names}}"
  rows: "Reihen {{names}}"
  tip_lines: Stabilos
  brake_main: Hauptbremsleine
  brakes: {{both: beide Bremsen, left: die linke Bremse, right: die rechte Bremse,
    one: eine Bremse}}
  brake_why: {{lines: ", weil", brakes: ", weil", both: ", weil", lines_entered: ", weil",
    both_entered: ", weil"}}
  longer: "{{mm}} länger"
  shorter: "{{mm}} kürzer"
  level: gleich
  speed_range: "{{low}} bis {{high}} {{unit}}"
  speed_about: "etwa {{high}} {{unit}}"
  speed_up_to: "bis zu {{high}} {{unit}}"
  speed_at_least: "mindestens {{low}} {{unit}}"
  groups: {{lines: Leinen, brakes: Bremsen, brake_lengths: Bremslängen, cloth: Tuch,
    brake_left: linke Bremse, brake_right: rechte Bremse,
    brake_lengths_of_left: Längen der linken Bremse,
    brake_lengths_of_right: Längen der rechten Bremse,
    strength: Festigkeit, risers: Gurte, inspection: Sichtprüfung}}
  to_mend: {{brakes: die Bremsen, cloth: das Tuch, strength: die Leinen, inspection: den Schaden}}
  angle_by: {{lines: nach den Leinen allein, half: "nach der Hälfte {{side}} allein",
    half_lines: "nach den Leinen der Hälfte {{side}} allein",
    rows: nach den gemessenen Reihen allein,
    rows_lines: nach den Leinen der gemessenen Reihen allein}}
  entered: {{before: vorher gemessen, after: nachher gemessen, between: dazwischen verändert,
    specification: Vorgabe,
    adjustments: eingetragene Arbeit, offset: der gemeinsame Versatz,
    risers: Gurt, all: alle Längen}}
  glossary: {{Schäkel: Verbindungsglied}}
"""

ENGINE = Path(__file__).parents[2] / "engine"
# Where labels are looked up; of the model it is names of lines and sides.
PLACES = ("compose", "narrate", "sign", "model/wing.py")


def phrase(name: str, place: Place) -> str:
    if place is Place.CAUTION:
        return f"  {name}: {{title: Achtung {name}, text: Satz {name}.}}\n"
    return f"  {name}: Satz {name}.\n"


PHRASES = "phrases:\n" + "".join(phrase(rule.name, rule.place) for rule in RULES)


@pytest.fixture
def german(tmp_path: Path) -> SimpleNamespace:
    """A tiny German: every phrase names its rule; labels as in English."""
    folder = tmp_path / "de"
    folder.mkdir()
    (folder / "phrases.yaml").write_text(WORDS + PHRASES, encoding="utf-8")
    shutil.copy(en.folder / "labels.yaml", folder)
    return SimpleNamespace(contract=1, name="de", locale="de_DE", folder=folder)


def spoil(language: SimpleNamespace, old: str, new: str, file: str = "phrases.yaml") -> None:
    path = language.folder / file
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, old
    path.write_text(text.replace(old, new), encoding="utf-8")


def faults(language: SimpleNamespace) -> tuple[Fault, ...]:
    with pytest.raises(PhraseError) as caught:
        load_catalogue(language.name, language.locale, language.folder, RULES, FACTS)
    return caught.value.faults


def in_german(job: Job) -> Job:
    return replace(job, workshop=Workshop("Quarry Hill", language="de"))


def test_a_second_language_is_one_more_folder(
    bench: SimpleNamespace, german: SimpleNamespace
) -> None:
    job = in_german(bench.example("demo"))
    statements = bench.narrated(job, bench.registry({"en": en, "de": german}))
    english = bench.narrated(bench.example("demo"))
    assert statements.language == "de"
    assert [s.rule for s in statements.sentences] == [s.rule for s in english.sentences]
    assert [s.text for s in statements.at(Place.HEADLINE)] == ["Satz headline_was_up."]
    assert statements.cautions[0].title.startswith("Achtung")


def test_a_second_language_writes_its_numbers_and_plurals_its_own_way(
    bench: SimpleNamespace, german: SimpleNamespace
) -> None:
    spoil(
        german,
        "chart_angle_both: Satz chart_angle_both.",
        'chart_angle_both: "{{ found_pitch_deg | degrees }}, '
        "{{ 3 | count(one='# Leine', other='# Leinen') }}, {{ change_pitch | modal }}\"",
    )
    job = in_german(bench.example("demo"))
    statements = bench.narrated(job, bench.registry({"de": german}))
    assert statements.at(Place.CHARTS)[0].text == "0,6°, drei Leinen, kann"


def test_all_that_a_language_lacks_is_reported_at_once(german: SimpleNamespace) -> None:
    (german.folder / "phrases.yaml").write_text("words: {}\nphrases: {}\n", encoding="utf-8")
    (german.folder / "labels.yaml").write_text("{}\n", encoding="utf-8")
    messages = " ".join(fault.message for fault in faults(german))
    for name in (*(rule.name for rule in RULES), "glossary", "numbers", "page_of"):
        assert f"`{name}` is missing." in messages


@pytest.mark.parametrize(
    ("old", "new", "code", "line_of"),
    [
        ("Satz found_up.", "'{{ found_pich }}'", "unknown-fact", "found_up:"),
        ("Satz found_up.", "'{{ stop | nmber }}'", "unknown-filter", "found_up:"),
        ("Satz found_up.", "'{{ stop'", "not-understood", "found_up:"),
        ("Satz found_up.", "[a, b]", "not-text", "found_up:"),
        ("found_up: Satz found_up.", "found_upp: Satz.", "missing-entry", "phrases:"),
        ("  left: links\n", "  left: [links]\n", "wrong-kind", "left: [links]"),
        (
            "{title: Achtung caution_up, text: Satz caution_up.}",
            "Satz.",
            "not-a-mapping",
            "caution_up",
        ),
        ("Achtung caution_up,", "'{{ zebra }}',", "unknown-fact", "caution_up:"),
    ],
)
def test_a_fault_of_a_phrase_is_reported_at_its_place(
    german: SimpleNamespace, old: str, new: str, code: str, line_of: str
) -> None:
    spoil(german, old, new)
    fault = faults(german)[0]
    assert fault.mark is not None
    assert (fault.code, fault.mark.file) == (code, "de/phrases.yaml")
    assert line_of in fault.mark.source


def test_one_open_bracket_is_one_fault(german: SimpleNamespace) -> None:
    with (german.folder / "phrases.yaml").open("a", encoding="utf-8") as file:
        file.write("  broken: [\n")

    assert [fault.code for fault in faults(german)] == ["unclosed-bracket"]


def test_a_misspelt_phrase_is_reported_with_the_name_it_may_mean(german: SimpleNamespace) -> None:
    spoil(german, "  found_up: Satz", "  fond_up: Satz")
    missing, unknown = faults(german)
    assert (missing.code, unknown.code) == ("missing-entry", "unknown-entry")
    assert unknown.hint == "Did you mean `found_up`?"


def test_a_phrase_that_fails_for_the_facts_is_reported_with_its_place(
    bench: SimpleNamespace, german: SimpleNamespace
) -> None:
    spoil(german, "Satz found_not_measured.", "'{{ found_pitch | modal }}'")
    with pytest.raises(PhraseError) as caught:
        bench.narrated(in_german(bench.job()), bench.registry({"de": german}))
    (fault,) = caught.value.faults
    assert fault.mark is not None
    assert (fault.code, "found_not_measured:" in fault.mark.source) == ("phrase-fails", True)


def test_an_unknown_locale_is_a_fault(german: SimpleNamespace) -> None:
    german.locale = "xx_XX"
    assert [fault.code for fault in faults(german)] == ["unknown-locale"]


@pytest.mark.parametrize(
    ("old", "new", "code", "hint"),
    [
        ("page_of:", "page_off:", "missing-entry", ""),
        ("page {page} of {pages}", "Seite {pge} von {pages}", "unknown-name", "{page}, {pages}"),
        ("finished: finished", "finished: [ab]", "not-text", ""),
    ],
)
def test_labels_hold_the_keys_and_names_of_the_english_ones(
    german: SimpleNamespace, old: str, new: str, code: str, hint: str
) -> None:
    spoil(german, old, new, "labels.yaml")
    fault = faults(german)[0]
    assert fault.mark is not None
    assert (fault.code, fault.mark.file) == (code, "de/labels.yaml")
    assert hint in fault.hint


def test_labels_may_have_more_plural_forms_than_english(german: SimpleNamespace) -> None:
    text = 'words_outside_lines_few: "{count} poza limitem"\nwords_outside_lines_one:'
    spoil(german, "words_outside_lines_one:", text, "labels.yaml")
    catalogue = load_catalogue(german.name, german.locale, german.folder, RULES, FACTS)
    assert catalogue.labels["words_outside_lines_few"] == "{count} poza limitem"


def nodes() -> Iterator[ast.AST]:
    for place in PLACES:
        path = ENGINE / place
        for file in path.rglob("*.py") if path.is_dir() else (path,):
            yield from ast.walk(ast.parse(file.read_text(encoding="utf-8")))


def form(text: ast.JoinedStr) -> str:
    """What a text such as f"gap_{reason}" may become, as a pattern; empty if that is anything."""
    said = [part.value if isinstance(part, ast.Constant) else None for part in text.values]
    fixed = "".join(str(part) for part in said if part)
    if not re.fullmatch("[a-z]+(?:_[a-z]+)*_|(?:_[a-z]+)+", fixed):
        return ""
    return "".join("[a-z_]+" if part is None else str(part) for part in said)


def test_every_label_is_used() -> None:
    used = {node.value for node in nodes() if isinstance(node, ast.Constant)}
    forms = {form(node) for node in nodes() if isinstance(node, ast.JoinedStr)}
    faults = Faults()
    labels = load_labels(en.folder / "labels.yaml", faults)
    faults.stop()

    unused = [key for key in labels if key not in used]

    assert forms > {"", "gap_[a-z_]+", "[a-z_]+_title"}
    assert [key for key in unused if not re.fullmatch("|".join(forms), key)] == []
