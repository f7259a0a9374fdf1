"""Codes of faults in exports, in import maps, and where imported values are to go.

They are as stable as those of `trimscribe.schemas.codes`.
"""

from collections.abc import Mapping

__all__ = ["CODES"]

CODES: Mapping[str, str] = {
    "answer-not-known": "An answer fits no question about an export, or is not one of its answers.",
    "belongs-elsewhere": "Warning: an export gives what does not belong into this kind of file.",
    "cell-is-a-date": "A spreadsheet made a date of a label or number.",
    "cell-is-a-percentage": "A cell shows a percentage where a plain number belongs.",
    "cell-is-an-error": "A spreadsheet could not work a cell out (`#DIV/0!`).",
    "cells-upside-down": "A range of cells does not go from the upper left to the lower right.",
    "column-not-clear": "A column of a map is named in no way, or in several.",
    "columns-do-not-fit": "A table of a map has columns of a kind that it cannot use.",
    "deviation-without-specification": "Deviations are read and there is nothing to add them to.",
    "file-changed": "A file was changed by another program while it was being written into.",
    "file-exists": "A different file is where a new one shall be written.",
    "form-not-clear": "A form of labels has an unknown part, one part twice, or none.",
    "formula-without-value": "A formula was never worked out.",
    "heading-twice": "Two columns have the heading that a map names.",
    "label-missing": "A row has numbers, and the cell that should name the line is empty.",
    "label-not-understood": "A label has none of the forms that the map gives.",
    "labels-disagree": "Two labels of one number name different sides, rows or points.",
    "layout-not-safe": "A file cannot be edited in place without touching other things.",
    "lengths-are-specified": "All lengths of an export are equal to the line set.",
    "line-not-clear": "Nothing says which side, row or point a number is of.",
    "line-set-not-found": "No line set of the folder fits the words.",
    "map-needed": "A file is named that says nothing without an import map.",
    "map-without-file": "A map is named, but no file that it is for.",
    "measuring-names-a-file": "Lengths shall go where the job names a file for them.",
    "no-values": "An export gives no lengths for the measuring that names it.",
    "nothing-to-propose": "No table of a file looks like lengths of lines.",
    "question-open": "What only a person can know of an export is not answered.",
    "readings-far-apart": "Warning: readings of one point differ by more than the map takes.",
    "record-incomplete": "A row lacks a field without which it says nothing.",
    "records-not-found": "The way to the records of a JSON file leads nowhere.",
    "several-line-sets": "Several line sets of the folder fit the words.",
    "sheet-not-found": "There is no sheet of the name or number that a map gives.",
    "signs-alike": "Decimals and thousands are separated by the same character.",
    "table-not-found": "No row holds the headings or the text by which a map finds a table.",
    "table-too-large": "A file has more rows, columns, cells or sheets than any real export.",
    "unknown-field": "A field is not one of those that a record has.",
    "value-differs": "A value of an export differs from the one in the file.",
    "value-in-merged-cell": "A number is in a merged cell, so its lines are not clear.",
    "word-means-two-things": "A word of the export is given for two things.",
    "workbook-broken": "A spreadsheet file is damaged, or is something else.",
    "workbook-locked": "A spreadsheet file is locked with a password.",
    "workbook-not-plain": "A spreadsheet file declares a document type.",
    "workbook-unpacks-too-large": "A spreadsheet file unpacks to far more than it should.",
    "wrong-decimal-mark": "A number has another decimal mark than the map says.",
    "wrong-encoding": "A text file is not in the encoding that the map says.",
}
