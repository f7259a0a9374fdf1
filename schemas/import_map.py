"""The import map: how an export of some other tool becomes measurements. A workshop writes it once.

A table is described by two lists. `labels` are the columns that say which line a row is about, by a
form such as `{row}{point} {side}`; `values` are the columns with the lengths. So one row may hold
one length (long), a length of each row of the wing (wide) or both sides side by side (paired).
"""

from collections.abc import Mapping
from typing import Any

import marshmallow as mm

from trimscribe.model.wing import GROUP_NAME
from trimscribe.schemas.fields import (
    Choice,
    FileSchema,
    Flag,
    Items,
    JsonSchema,
    NamedValues,
    NestedMapping,
    Number,
    Pattern,
    Problem,
    Schema,
    Text,
    Value,
)

# What a table that is not a list of lengths gives: the fields of one of its records.
FIELDS: Mapping[str, tuple[str, ...]] = {
    "adjustments": (
        "line", "side", "loop_before", "loop_after", "maillon", "change_mm", "remark",
    ),
    "loops": ("maillon", "loop", "take_up_mm"),
    "porosity": ("place", "value"),
    "tear": ("place", "tear_mm"),
}  # fmt: skip
# Without these a record says nothing.
NEEDED: Mapping[str, tuple[str, ...]] = {
    "adjustments": ("line", "side"),
    "loops": FIELDS["loops"],
    "porosity": FIELDS["porosity"],
    "tear": FIELDS["tear"],
}
GIVES = ("lengths", "specification", *FIELDS)
_SIDES = ("left", "right")
_WHEN = ("before", "after")


class NamedTexts(Value):
    """A text, or a list of them."""

    belongs = "a text or a list of texts"

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> list[str]:
        texts = value if isinstance(value, list) else [value]
        for text in texts:
            if isinstance(text, bool) or not isinstance(text, str | int) or not str(text).strip():
                raise self.problem("not-text", "Put it in quotes to have it read as text.")
        return [str(text).strip() for text in texts]

    def json_schema(self) -> JsonSchema:
        """Either form."""
        text = {"type": ["string", "integer"]}
        return {"anyOf": [text, {"type": "array", "items": text}]}


class RowNumbers(Value):
    """The number of a row, or of several one below the other."""

    belongs = "the number of a row such as 3, or a list such as [3, 4]"

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> list[int]:
        numbers = value if isinstance(value, list) else [value]
        whole = [n for n in numbers if isinstance(n, int) and not isinstance(n, bool) and n > 0]
        if not numbers or whole != numbers or whole != [*range(whole[0], whole[0] + len(whole))]:
            raise self.problem("wrong-form", "Rows count from 1, and are one below the other.")
        return whole

    def json_schema(self) -> JsonSchema:
        """Either form."""
        number = {"type": "integer", "minimum": 1}
        return {"anyOf": [number, {"type": "array", "items": number, "minItems": 1}]}


class Addition(Value):
    """Millimetres added to every length, or to those of single rows."""

    belongs = "a length in mm such as -520, or a block of rows with it"

    def __init__(self, description: str) -> None:
        """Take the description."""
        super().__init__(description)
        self.inner = Number("", "a length in mm such as -520", least=-5000, most=5000)

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> dict[str, float]:
        if not isinstance(value, Mapping):
            return {"": self.inner.check(value)}
        errors: dict[str, Any] = {}
        added = {}
        for name, one in value.items():
            try:
                added[name] = self.inner.check(one)
            except mm.ValidationError as error:
                errors[name] = error.messages
        if errors:
            raise mm.ValidationError(errors, valid_data=added)
        return added

    def json_schema(self) -> JsonSchema:
        """Either form."""
        number = self.inner.json_schema()
        return {"anyOf": [number, {"type": "object", "additionalProperties": number}]}


# What workshops' programs write; the last four are other names of the four before.
_ENCODINGS = (
    *("utf-8", "utf-16", "iso-8859-2", "windows-1250", "windows-1252", "iso-8859-1", "iso-8859-15"),
    *("cp1250", "cp1252", "latin-1", "latin9"),
)


class FormatSchema(Schema):
    """How the file is written down."""

    kind = Text("Name of the importer, where the ending of the file's name does not tell it.")
    encoding = Choice("Encoding of a text file; utf-8 if left out.", _ENCODINGS)
    delimiter = Choice(
        "What parts the columns of a text file; comma if left out.",
        ("comma", "semicolon", "tab", "bar", "colon", "blanks"),
    )
    quote = Choice("What is around texts; double if left out.", ("double", "single", "none"))
    records = Text("Way to the records of a JSON file, such as lines.*.readings.*.")


class NumbersSchema(Schema):
    """How numbers are written and what they mean."""

    decimal = Choice("What is before the decimals; point if left out.", ("point", "comma"))
    thousands = Choice(
        "What parts groups of three digits besides a blank; none if left out.",
        ("none", "point", "comma", "apostrophe"),
    )
    unit = Choice(
        "Unit of the lengths; mm if left out. Inches become mm to the second decimal.",
        ("mm", "cm", "m", "in"),
    )
    means = Choice(
        "What a number is: a length, or the deviation from the specification; length if left out.",
        ("length", "deviation"),
    )
    longer = Choice(
        "Sign of a deviation that makes a line longer; plus if left out.", ("plus", "minus")
    )
    add_mm = Addition("Added to every length in mm, such as -520 where a riser was measured too.")
    empty = NamedTexts('Texts that say "not measured", such as [-, n/a].')


def _words(description: str, names: tuple[str, ...] = (), pattern: str = "") -> NamedValues:
    return NamedValues(
        description,
        NamedTexts("", required=True),
        belongs="a block of names with the words of the export",
        names=names,
        pattern=pattern,
    )


class WordsSchema(Schema):
    """What the export calls things; capitals do not matter."""

    side = _words("The pilot's left and right, such as {left: [L], right: [R]}.", _SIDES)
    row = _words("Rows of lines, such as {stabilo: S, brake: [F, fan]}.", pattern=GROUP_NAME)
    when = _words("Before and after the work, such as {before: in, after: out}.", _WHEN)
    loop = _words('Loops, such as {single loop: "1x"}.')


def _letters(description: str) -> Pattern:
    return Pattern(description, "[A-Z]{1,3}", belongs="the letters of a column such as C")


class ColumnSchema(Schema):
    """A column, by its heading or its letters."""

    column = Text("The heading of the column.")
    at = _letters("The letters of the column, as a spreadsheet counts; of text files too.")


class LineSchema(Schema):
    """What is known of a line without a look into a cell."""

    side = Choice("Side of all of them.", _SIDES)
    row = Pattern("Row of all of them.", GROUP_NAME, belongs="the name of a row such as A")
    point = Number("Point of all of them.", "a point such as 3", least=1, most=999, whole=True)
    when = Choice("Measured before or after the work.", _WHEN)


class LabelSchema(ColumnSchema):
    """A column that says which line a row is about."""

    form = NamedTexts(
        "What its cells look like, such as {row}{point} {side}; several forms may be given.",
        required=True,
        belongs='a form such as "{row}{point} {side}"',
    )
    fill = Flag("Whether an empty cell repeats the one above.")

    @mm.validates_schema(skip_on_field_errors=True)
    def _one_place(self, data: dict[str, Any], **_: Any) -> None:
        _placed_once(data, "column", "at")


class ValueSchema(ColumnSchema, LineSchema):
    """A column with lengths, or all whose headings have one form."""

    form = NamedTexts(
        "What headings of such columns look like, such as {row} {side}.",
        belongs='a form such as "{row} {side}"',
    )

    @mm.validates_schema(skip_on_field_errors=True)
    def _one_place(self, data: dict[str, Any], **_: Any) -> None:
        _placed_once(data, "column", "at", "form")


class FieldSchema(ColumnSchema):
    """A column of records, or a value that all of them have."""

    field = Text("Which field of the record it is, such as loop_before.", required=True)
    always = Text("The value of all records.")

    @mm.validates_schema(skip_on_field_errors=True)
    def _one_place(self, data: dict[str, Any], **_: Any) -> None:
        _placed_once(data, "column", "at", "always")


def _placed_once(data: dict[str, Any], *keys: str) -> None:
    if sum(data.get(key) is not None for key in keys) != 1:
        belongs = f"exactly one of {', '.join(keys[:-1])} and {keys[-1]}"
        raise mm.ValidationError([Problem("column-not-clear", belongs)])


def _list(schema: type[Schema], description: str) -> Items:
    return Items(description, schema, belongs="a list of columns")


class TableSchema(LineSchema):
    """One table of the export."""

    gives = Choice("What the table gives; lengths if left out.", GIVES)
    sheet = Text("Name or number of the sheet; the first if left out.")
    below = Text("A text; the table is below the first row that holds it.")
    until = Text("A text; the table ends above the next row that holds it.")
    cells = Pattern(
        "The cells of the table, headings included.",
        r"[A-Z]{1,3}[1-9]\d{0,6}:[A-Z]{1,3}[1-9]\d{0,6}",
        belongs="a range of cells such as B4:F20",
    )
    header = RowNumbers("Row of the headings; the first that holds all of them if left out.")
    skip = NamedTexts(
        "Rows with such a text among their labels are left out; * stands for anything."
    )
    labels = _list(LabelSchema, "The columns that say which line a row is about.")
    values = _list(ValueSchema, "The columns with the lengths.")
    columns = _list(FieldSchema, "The columns of records, for tables that give no lengths.")


class QuestionSchema(Schema):
    """What only a person can know of the export; a map with one does not import."""

    id = Text("By what the question is answered.", required=True)
    asks = Text("The question.", required=True)
    answers = NamedTexts("What may be answered.")


class ShapeSchema(Schema):
    """What one table of such a file looks like."""

    sheet = Text("Name of its sheet.")
    headings = NamedTexts("Its headings, from the left.")
    columns = Number(
        "How many columns it has, without headings.", "a count", least=1, most=9999, whole=True
    )
    titles = Text("What its titles say of side and time.")


class ImportMapFileSchema(FileSchema):
    """An import map."""

    name = Text("What this map is for, for people.")
    format = NestedMapping(FormatSchema, "How the file is written down.")
    numbers = NestedMapping(NumbersSchema, "How numbers are written and what they mean.")
    words = NestedMapping(WordsSchema, "What the export calls sides, rows and loops.")
    measuring = Choice(
        "Where lengths belong that do not say it; an import asks if left out.", _WHEN
    )
    points_from = Choice("Where points are counted from; centre if left out.", ("centre", "tip"))
    readings = Choice(
        "What holds when a point is read several times; one if left out: a second is a fault.",
        ("one", "mean", "median", "last"),
    )
    widest_mm = Number(
        "Readings of one point further apart than this are warned of.",
        "a length in mm such as 3",
        above=0,
        most=1000,
    )
    shape = Items(
        "Headings and layout of the files that this map is for, by which it is found again.",
        ShapeSchema,
        belongs="a list of tables",
    )
    answers = NamedValues(
        "How the questions about such a file were answered.",
        Text,
        belongs="a block of questions with their answers",
    )
    questions = Items(
        "Questions that are still open; delete each once it is settled in the map.",
        QuestionSchema,
        belongs="a list of questions",
    )
    tables = Items(
        "The tables of the export.", TableSchema, belongs="a list of tables", required=True
    )
