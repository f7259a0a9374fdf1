"""The specification file: the maker's line set of one model and size, shared by many jobs."""

from trimscribe.model.wing import GROUP_NAME, RetrimLimits, StrengthRule
from trimscribe.schemas.fields import (
    Choice,
    FileSchema,
    Flag,
    Items,
    NamedValues,
    NestedMapping,
    Number,
    Schema,
    Text,
)
from trimscribe.schemas.wing_fields import (
    ROW_NAME,
    Cascade,
    Lengths,
    PointsField,
    Riser,
    length,
    tolerances,
)

_CHORD = "a position in metres from the leading edge such as 0.92"


class RowSchema(Schema):
    """One row."""

    lengths_mm = Lengths("Specified lengths in mm, centre to tip.", required=True)
    chord_m = Lengths(
        "Position in metres aft of the leading edge: one number, or one per point.",
        inner=Number("", _CHORD, least=-1, most=10),
    )


class StrengthRuleSchema(Schema):
    """What each line of some rows must still hold."""

    builds = StrengthRule

    rows = Items("The rows that it holds for.", Text, required=True)
    times_weight = Number(
        "Times the wing's largest all-up weight.", "a factor such as 8", above=0, most=100,
        required=True,
    )  # fmt: skip
    lines = Number(
        "How many lines share it.", "a count such as 12", least=1, most=1000, whole=True,
        required=True,
    )  # fmt: skip
    n_per_kg = Number(
        "N per kg; 10 if left out, as makers reckon in daN.", "9.81 or 10", least=9, most=11
    )
    at_least_n = Number(
        "But at least this many N, before it is shared.", "a load in N such as 14000", least=0,
        most=1e6,
    )  # fmt: skip


class BrakeSchema(Schema):
    """The brake lines."""

    fan_mm = Lengths(
        "Specified lengths of the brake fan in mm, centre to tip: from the handle's mark to the "
        "trailing edge, the main line included.",
        required=True,
    )
    main_mm = length(
        "Specified length of the main brake line by itself in mm.",
        such_as="a length in mm such as 2260",
    )
    trailing_edge_m = Number(
        "Position of the trailing edge in metres aft of the leading edge.",
        "a position in metres such as 2.38",
        above=0,
        most=10,
    )
    shares_offset = Flag(
        "Whether the maker counts brake lines with the offset that all lines share; they are "
        "compared with their table as it is if left out."
    )
    free_travel_mm = Number(
        "Brake travel in mm from hands up to the first movement of the trailing edge.",
        "a travel in mm such as 70",
        least=0,
        most=1000,
    )


class RetrimSchema(Schema):
    """What the maker allows when the wing is retrimmed by loops."""

    builds = RetrimLimits

    loops = Items(
        "Loops that may be tied at a maillon; any in the workshop's table if left out.",
        Text,
        belongs="a list of loops such as [single loop, double loop]",
    )
    never = Items(
        "Lines whose loop is never changed.", Text, belongs="a list of lines such as [a1, a2]"
    )
    most_steps = Number(
        "How many places in the order of take-up a loop may be away from the one found.",
        "a count such as 1", least=1, most=20, whole=True,
    )  # fmt: skip


class TrimRuleSchema(Schema):
    """A maker's rule for a retrim: the mean of some lines less the mean of others."""

    name = Text("What the maker calls it.", required=True)
    plus = PointsField("Lines whose mean deviation counts.", required=True)
    minus = PointsField("Lines whose mean deviation is taken away.")
    side = Choice("On each side by itself, or over both together; each if left out.",
                  ("each", "both"))  # fmt: skip
    target_mm = Number(
        "What the difference is to be, in mm; 0 if left out.", "a difference in mm such as 0",
        least=-500, most=500,
    )  # fmt: skip
    within_mm = Number(
        "How far from that it may be, ± mm.", "a tolerance in mm such as 4", above=0, most=500,
        required=True,
    )  # fmt: skip


class SpecificationSchema(Schema):
    """A line set, as written in a job."""

    maker = Text("Maker of the wing.", required=True)
    model = Text("Model of the wing.", required=True)
    size = Text("Size of the wing.", required=True)
    source = Text("Where these lengths come from, such as the maker's manual.", required=True)
    revision = Text("Revision or date of the source.")
    includes_risers = Flag("Whether the lengths include the risers; they do not if left out.")
    tension_n = Number(
        "Tension in N at which the maker measures.", "a tension in N such as 50", above=0, most=2000
    )
    span_m = Number("Flat span in metres.", "a span in metres such as 11.2", above=1, most=30)
    lean_deg = Number(
        "Spanwise lean of the lines from the chord's normal, in degrees.",
        "an angle in degrees such as 15",
        least=0,
        most=60,
    )
    rows = NamedValues(
        "The rows from front to rear, by name.",
        RowSchema,
        belongs="a block of rows, front to rear, such as {A: {lengths_mm: …}}",
        pattern=ROW_NAME,
        required=True,
    )
    stabilo_mm = Lengths("Specified lengths of the stabilo lines in mm.")
    brake = NestedMapping(BrakeSchema, "The brake lines.")
    cascade = Cascade("Which points hang on which main and middle line.")
    rounding_mm = Number(
        "Step that the lengths are given in; 1 if left out.", "a step in mm such as 5", above=0,
        most=100,
    )  # fmt: skip
    stiffness_n = NamedValues(
        "By group, the force in N that would double a line's length: a number, or one per point. "
        "Needed to correct lengths measured at another tension.",
        Lengths("", inner=Number("", "a stiffness in N such as 25000", above=0, most=1e7)),
        belongs="a block of rows with stiffnesses",
        pattern=GROUP_NAME,
    )
    strength_rules = Items(
        "What lines must still hold when they are pulled.",
        StrengthRuleSchema,
        belongs="a list of rules",
    )
    risers = NamedValues(
        "The risers by name.", Riser, belongs="a block of risers such as {A: {trim_mm: 520}}"
    )
    tolerances = tolerances("The maker's tolerances.")
    retrim = NestedMapping(
        RetrimSchema, "What the maker allows when the wing is retrimmed by loops."
    )
    trim_rules = Items(
        "The maker's rules over groups of lines, for a retrim.",
        TrimRuleSchema,
        belongs="a list of rules",
    )
    confirmed = NamedValues(
        "Lengths that looked doubtful and are the maker's all the same: why, by the name that "
        "`check` gives them.",
        Text,
        belongs="a block of keys such as {specification.A4: as printed in the manual}",
    )


class SpecificationFileSchema(FileSchema, SpecificationSchema):
    """A line set in a file of its own."""
