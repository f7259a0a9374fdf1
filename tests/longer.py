"""The words of a report in a language that needs more letters: the same, each a third longer."""

from dataclasses import replace

from trimscribe.model.document import Content

# Words of a made-up language: some short, some as long as a compound noun.
_WORDS = [
    *("und", "die", "Leinenlängenabweichung", "ist", "mit", "der", "Bremsleine", "an", "den"),
    *("Traggurtaufhängungen", "vor", "dem", "Start", "bei", "Wind", "zu", "prüfen", "sowie"),
    *("danach", "ohne", "Gewichtsverlagerung"),
]


def longer(content: Content, factor: float) -> Content:
    """The same content with every text `factor` times as long, in letters."""
    said = content.statements
    statements = replace(
        said,
        sentences=tuple(replace(s, text=stretched(s.text, factor)) for s in said.sentences),
        cautions=tuple(
            replace(c, title=stretched(c.title, factor), text=stretched(c.text, factor))
            for c in said.cautions
        ),
        verdicts=tuple(
            replace(v, label=stretched(v.label, factor), words=stretched(v.words, factor))
            for v in said.verdicts
        ),
        labels={
            key: stretched(text, factor) if "{" not in text else text
            for key, text in said.labels.items()
        },
    )
    return replace(content, statements=statements)


def stretched(text: str, factor: float) -> str:
    """The text with words put in before its last one; short ones get longer in themselves."""
    wanted = round(len(text) * factor) - len(text)
    if wanted < 4:
        return text + "en"[:wanted]
    words, number = [], len(text)
    while sum(map(len, words)) + len(words) < wanted:
        words.append(_WORDS[number % len(_WORDS)])
        number += 1
    added = " ".join(words)[:wanted].rstrip()
    head, blank, last = text.rpartition(" ")
    return f"{head} {added}{blank}{last}" if head else f"{text} {added}"
