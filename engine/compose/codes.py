"""Every code that a fault in a theme can carry, beside those of the theme file as YAML."""

from collections.abc import Mapping

__all__ = ["CODES"]

CODES: Mapping[str, str] = {
    "contrast-too-low": "A colour cannot be read on the theme's background.",
    "font-missing": "No font file of the theme belongs to the family that it names.",
    "no-glyph": "No font of the theme can show a sign that the report must print.",
    "template-missing": "A template names another one that neither the theme nor a parent has.",
    "template-refused": "A template does what themes may not: make code of text, load packages.",
    "template-syntax": "A template does not follow the rules of Jinja2.",
    "template-value": "A template asks for a value that is not there or cannot be printed.",
    "text-too-small": "The theme's text is too small to read on paper.",
    "theme-circle": "A theme extends itself, directly or through others.",
    "theme-file-too-large": "A file of the theme is larger than any real one.",
    "theme-lacks-section": "The theme leaves out a section that every report must have.",
    "theme-lacks-token": "Neither the theme nor one it extends sets a value that is needed.",
    "theme-link": "A file of the theme is a link.",
    "theme-missing": "There is no theme.yaml in the folder.",
    "theme-not-utf-8": "A template is not UTF-8 text.",
    "theme-unknown": "There is neither a theme nor a folder of this name.",
}
