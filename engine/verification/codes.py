"""Every code that a difference found by `verify` can carry."""

from collections.abc import Mapping

CODES: Mapping[str, str] = {
    "action-added": "The PDF would do something by itself when it is opened.",
    "attachment-added": "A file is attached that the manifest does not name.",
    "attachment-altered": "An attached file is not the one that the manifest names.",
    "attachment-missing": "A file that the manifest names is not attached.",
    "cannot-render": "The report cannot be made again here; the message says why.",
    "drawing-altered": "A page has the right words and does not look as it should.",
    "description-altered": "What a screen reader is told of a drawing is not what it should be.",
    "findings-altered": "The attached findings are not those which the attached job gives.",
    "history-unreadable": "The attached numbers of earlier services cannot be read.",
    "inside-altered": "The PDF differs inside, where neither words nor drawings show it.",
    "laid-over": "Something lies over a page that no report has.",
    "manifest-altered": "The manifest is not the one that the attached job gives.",
    "metadata-altered": "A field such as title, author or date is not what it should be.",
    "not-read": "The file is not there, is not a file, or may not be read.",
    "not-conforming": "The validator says that the report breaks a rule of PDF/A-3a or PDF/UA-1.",
    "page-added": "There is a page that the attached job does not give.",
    "page-missing": "A page that the attached job gives is not there.",
    "pages-reordered": "The pages are in another order.",
    "text-altered": "A page says something else than the attached job gives.",
    "name-not-possible": "An attached file has a name that no job can give it.",
    "no-job": "The manifest names no job.",
    "theme-altered": "The look is not the one that the theme gives now.",
    "theme-not-here": "The report's theme is not installed.",
    "validator-silent": "The validator does not run, or gives no answer that can be read.",
    "too-much": "Reading the file takes more time or memory than any report needs.",
}

# True whatever the versions: no version of the software makes such a report.
HARD = frozenset(
    {"action-added", "attachment-added", "attachment-altered", "attachment-missing", "laid-over"}
)
