"""Every code that a fault in a theme can carry, beside those of the theme file as YAML."""

from collections.abc import Mapping

__all__ = ["CODES"]

CODES: Mapping[str, str] = {
    "block-unknown": "Warning: a theme changes a block that the template it extends has not.",
    "alt-missing": "Warning: a picture in a template has no words for who cannot see it.",
    "colours-alike": "Warning: two colours of the charts look alike to some readers or in grey.",
    "contrast-too-low": "A colour cannot be read on the theme's background.",
    "file-unused": "Warning: a file of the theme is used by nothing.",
    "font-broken": "A font file of the theme cannot be read.",
    "font-missing": "No font file of the theme belongs to the family that it names.",
    "letters-missing": "Warning: no font of the theme has letters that languages or names need.",
    "no-glyph": "No font of the theme can show a character that the report must print.",
    "phrase-names-nothing": "A text of the theme names something that a report does not have.",
    "phrase-not-translated": "A text of the theme is missing in the language of the report.",
    "picture-heavy": "Warning: a picture of the theme makes every report much larger.",
    "section-misplaced": "A section is added after one that the report does not have.",
    "section-twice": "A theme lists a section twice.",
    "section-unknown": "A theme lists a section that neither a plugin nor a template makes.",
    "template-missing": "A template is needed that no theme and no section brings.",
    "template-refused": "A template does what themes may not: make code of text, load packages.",
    "template-syntax": "A template does not follow the rules of Jinja2.",
    "template-value": "A template asks for a value that is not there or cannot be printed.",
    "text-too-small": "The theme's text is too small to read on paper.",
    "theme-circle": "A theme extends itself, directly or through others.",
    "theme-lacks-section": "The theme leaves out a section that every report must have.",
    "theme-lacks-token": "Neither the theme nor one it extends sets a value that is needed.",
    "theme-link": "A file of the theme is a link.",
    "theme-missing": "There is no theme.yaml in the folder.",
    "theme-not-utf-8": "A template is not UTF-8 text.",
    "theme-unknown": "No theme of this name is installed.",
    "wording-does-not-fit": "A heading of the theme lacks a name in braces, or has one too many.",
    "wording-not-free": "A theme words something otherwise that means the same in every report.",
}
