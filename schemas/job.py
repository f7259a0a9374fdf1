"""The job file: one service of one wing, from the order to the signature."""

from functools import partial
from typing import Any

import marshmallow as mm

from trimscribe.model.job import (
    Condition,
    Flight,
    FlightDecision,
    InspectionItem,
    NextService,
    Pilot,
    Porosity,
    PorosityReading,
    PorosityUnit,
    Replacement,
    Service,
    StrengthTest,
    TearReading,
    TearTest,
)
from trimscribe.model.report import Amendment
from trimscribe.model.wing import GROUP_NAME, Side, Wing
from trimscribe.schemas.fields import (
    Called,
    Choice,
    Date,
    FileSchema,
    Flag,
    Items,
    JsonSchema,
    NamedValues,
    NestedMapping,
    Number,
    PartOrFile,
    Pattern,
    Problem,
    Schema,
    Text,
    Value,
)
from trimscribe.schemas.shop import (
    DecisionRuleField,
    PersonSchema,
    ReportSchema,
    ShopSchema,
    thresholds,
)
from trimscribe.schemas.specification import SpecificationSchema
from trimscribe.schemas.wing_fields import Lengths, Riser, TiedField, tolerances


def _weight(description: str) -> Number:
    return Number(description, "a weight in kg such as 92", above=0, most=500)


class NextServiceSchema(Schema):
    """Whichever comes first."""

    builds = NextService

    date = Date("The wing is due by this day.")
    hours = Number("Or after this many hours of flight.", "hours such as 100", above=0, most=10_000)


class AmendmentSchema(Schema):
    """An earlier report that this one replaces."""

    builds = Amendment

    report = Text("Number of the service on the report that is replaced.", required=True)
    sha256 = Pattern(
        "SHA-256 of that report's file, as `trimscribe shelf` shows it.",
        "[0-9a-f]{64}",
        belongs="a SHA-256 of 64 small letters and digits",
        required=True,
    )
    change = Text("What is different now.", required=True)
    reason = Text("Why the earlier report was not right.", required=True)


class ServiceSchema(Schema):
    """The service as an order."""

    builds = Service

    number = Called(
        "The workshop's number of this service.",
        belongs="a number such as QH-2026-041",
        required=True,
    )
    done = Date(
        "The day the service was finished; a plan needs it only where no other day is given.",
        required=True,
    )
    received = Date("The day the wing came in.")
    issued = Date("The day of the report; the day it was done if left out.")
    place = Text("Where the work was done, if not at the workshop's address.")
    reason = Text("Why the wing came in.")
    condition = Text("The wing as it came in, such as complete and dry.")
    replaces = NestedMapping(AmendmentSchema, "The report that this one replaces.")
    technician = NestedMapping(PersonSchema, "Who did the work; never who signs.")
    signed_by = NestedMapping(PersonSchema, "Who checked and signs the report; nobody if left out.")
    next_service = NestedMapping(NextServiceSchema, "When the wing is due again.")


class PilotSchema(Schema):
    """Who flies the wing."""

    builds = Pilot

    name = Text("Name of the pilot.", required=True)
    contact = Text("Address, mail or telephone.")
    all_up_weight_kg = _weight("Take-off weight with all equipment, in kg.")
    reported = Text("What the pilot told the workshop about the wing.")
    answer = Text("What the workshop found about that, in a sentence or two for page one.")


class WingSchema(Schema):
    """The very wing on the bench."""

    builds = Wing

    maker = Text("Maker of the wing.", required=True)
    model = Text("Model of the wing.", required=True)
    size = Text("Size of the wing.", required=True)
    serial_number = Text("Serial number on the wing's label.", required=True)
    year = Number("Year it was made.", "a year such as 2022", least=1985, most=2100, whole=True)
    hours = Number("Hours flown.", "hours such as 138", least=0, most=20_000)
    flights = Number("Number of flights.", "a count such as 171", least=0, most=50_000, whole=True)
    certification = Text("Certification class, such as EN B.")
    weight_min_kg = _weight("Lower end of the certified weight range, in kg all-up.")
    weight_max_kg = _weight("Upper end of the certified weight range, in kg all-up.")
    trim_speed_km_h = Number(
        "Trim speed in km/h, if known.", "a speed in km/h such as 38", least=15, most=80
    )
    colour = Text("Colours of the wing.")


class SideNumbersSchema(Schema):
    """Brake free travel of both sides."""

    left = Number("Left, in mm.", "a travel in mm such as 70", least=-500, most=1000)
    right = Number("Right, in mm.", "a travel in mm such as 70", least=-500, most=1000)


def _risers(side: str) -> NamedValues:
    return NamedValues(
        f"The {side} risers by name.",
        Riser,
        belongs="a block of risers such as {A: {trim_mm: 520}}",
    )


class SideRisersSchema(Schema):
    """Risers of both sides."""

    left = _risers("left")
    right = _risers("right")


def _lines(side: str) -> NamedValues:
    return NamedValues(
        f"Measured lengths in mm on the pilot's {side}: by row, centre to tip; ~ = not measured. "
        "Those of the brake fan include the main line.",
        Lengths("", gaps=True, required=True),
        belongs="a block of rows with lengths such as {A: [7342, 7338]}",
        pattern=GROUP_NAME,
    )


class MeasurementSchema(Schema):
    """One measuring of the whole wing."""

    date = Date("The day it was measured.")
    method = Text("How it was measured.")
    instrument = Text("With which instrument, and when that was last checked.")
    tension_n = Number(
        "Tension of the line while measured, in N.", "a tension in N such as 50", above=0, most=2000
    )
    uncertainty_mm = Number(
        "Standard uncertainty (k = 1) of reading one length, in mm.",
        "an uncertainty in mm such as 1.5",
        above=0,
        most=100,
    )
    repeat_mm = Number(
        "Scatter (standard deviation) of one line that is hooked up and read again, in mm; it "
        "holds reading, hook-up and tension.",
        "a scatter in mm such as 2",
        above=0,
        most=100,
    )
    deviations = Text("What was done otherwise than the method says, or in addition.")
    done_by = Text("Who measured, if not the workshop.")
    file = Text("A file with the lengths, such as before.csv: side,row,point,length_mm.")
    map = Text("An import map that says what the cells of that file mean.")
    free_travel_mm = NestedMapping(
        SideNumbersSchema,
        "Brake travel in mm before the trailing edge moves.",
        belongs="a block of both sides such as {left: 70, right: 65}",
    )
    risers = NestedMapping(SideRisersSchema, "Measured risers.")
    left = _lines("left")
    right = _lines("right")


class AfterSchema(MeasurementSchema):
    """The measuring after the work, and what ties it to one before it, if there is one."""

    session_mm = Number(
        "What two measurings of one day may differ by as a whole (standard uncertainty), in mm.",
        "an uncertainty in mm such as 3",
        above=0,
        most=100,
    )
    control_lines = Items(
        "Untouched lines measured again on both sides, three or more a side, to tie this measuring "
        "to the earlier one; all of them if left out.",
        Text,
        belongs="a list of points such as [A4, B4, B7]",
    )


class BeforeSchema(MeasurementSchema):
    """The measuring before the work, which a retrim is planned from."""

    tied = TiedField(
        "Loops as they were found at the maillons, for a proposed retrim: `default` for every main "
        "line, others by name."
    )


class CommonOffsetField(Value):
    """How the even difference of a whole line set is found."""

    belongs = "one of mean, median or none, or a row such as {row: A}"
    words = ("mean", "median", "none")

    def _deserialize(self, value: Any, attr: Any, data: Any, **kwargs: Any) -> Any:
        if isinstance(value, dict) and list(value) == ["row"] and isinstance(value["row"], str):
            return value
        if value not in self.words:
            raise self.problem("not-one-of", names=self.words)
        return value

    def json_schema(self) -> JsonSchema:
        """A word, or a mapping with the row."""
        row = {
            "type": "object",
            "properties": {"row": {"type": "string"}},
            "required": ["row"],
            "additionalProperties": False,
        }
        return {"anyOf": [{"enum": list(self.words)}, row]}


class AdjustmentSchema(Schema):
    """What was changed at one line."""

    line = Text("Main line, middle line, brake_main or a single line such as A3.", required=True)
    side = Choice("Where.", ("left", "right", "both"), required=True)
    loop_before = Text("Loop at the maillon before.")
    loop_after = Text("Loop at the maillon after.")
    maillon = Text("Table of loops that this line's maillon belongs to, if there are several.")
    change_mm = Number(
        "Change without a loop in mm; + makes the line longer.",
        "a change in mm such as -20",
        least=-1000,
        most=1000,
    )
    remark = Text("Anything to add.")

    @mm.validates_schema(skip_on_field_errors=True)
    def _one_way(self, data: dict[str, Any], **_: Any) -> None:
        """Either both loops or a change in mm."""
        loops = [k for k in ("loop_before", "loop_after") if data.get(k)]
        change = data.get("change_mm") is not None
        if (change and loops) or (not change and len(loops) != 2):
            raise mm.ValidationError([Problem("adjustment-not-clear")])


class PlanSchema(Schema):
    """A proposed retrim, which is not work done."""

    done = Flag("Whether the technician has done it; what was done is under `adjustments`.")
    changes = Items("What would be changed, line by line.", AdjustmentSchema, required=True)


class ReplacementSchema(Schema):
    """What was exchanged."""

    builds = partial(Replacement, side=None)

    part = Text(
        "Line or part, such as line B9, lines A1-A4, B lines or line set: names are those of the "
        "line set, other words for lines and brakes are read in English.",
        required=True,
    )
    side = Choice("Where, if it has a side.", Side)
    reason = Text("Why.", required=True)


class PorosityReadingSchema(Schema):
    """One reading."""

    builds = PorosityReading

    place = Text("Where on the wing.", required=True)
    value = Number(
        "The reading, in the unit given above.",
        "a reading such as 96",
        least=0,
        most=100_000,
        required=True,
    )


class PorositySchema(Schema):
    """Air permeability of the cloth."""

    builds = Porosity

    unit = Choice(
        "s (higher is better) or L/m2/min (lower is better).", PorosityUnit, required=True
    )
    readings = Items("The readings.", PorosityReadingSchema, required=True)
    method = Text("How it was measured.")
    limit = Number("Last acceptable value.", "a limit such as 20", above=0, most=100_000)
    volume_l = Number("Volume of air in litres.", "litres such as 0.40", above=0, most=100)
    area_cm2 = Number("Area in cm².", "an area in cm² such as 50", above=0, most=10_000)
    pressure_pa = Number("Pressure in Pa.", "a pressure in Pa such as 2000", above=0, most=1e6)
    uncertainty = Number(
        "Standard uncertainty of one reading, in its unit.", "an uncertainty such as 2", above=0,
        most=10_000,
    )  # fmt: skip
    done_by = Text("Who tested, if not the workshop.")


class TearReadingSchema(Schema):
    """One place."""

    builds = TearReading

    place = Text("Where on the wing.", required=True)
    tear_mm = Number(
        "Length of the tear in mm.", "a length in mm such as 1", least=0, most=1000, required=True
    )


class TearSchema(Schema):
    """Tear test of the cloth with a needle."""

    builds = TearTest

    load_n = Number("Load on the needle in N.", "a load in N such as 5", above=0, most=1000)
    limit_mm = Number(
        "Longest tear allowed, in mm.", "a length in mm such as 5", above=0, most=1000
    )
    readings = Items("The readings.", TearReadingSchema, required=True)
    method = Text("How it was tested.")
    uncertainty_mm = Number(
        "Standard uncertainty of one reading, in mm.", "an uncertainty in mm such as 0.5", above=0,
        most=100,
    )  # fmt: skip
    done_by = Text("Who tested, if not the workshop.")


class ClothSchema(Schema):
    """Tests of the cloth."""

    porosity = NestedMapping(PorositySchema, "Air permeability.")
    tear = NestedMapping(TearSchema, "Tear test.")


_FORCE = "a load in N such as 900"


class StrengthSchema(Schema):
    """One line that was pulled."""

    builds = StrengthTest

    line = Text("Which line.", required=True)
    side = Choice("Which side it came from.", Side)
    load_n = Number("Load it was pulled to, in N.", _FORCE, above=0, most=50_000, required=True)
    required_n = Number(
        "Load it must hold, in N; left out, what the specification's rule says.", _FORCE, above=0,
        most=50_000,
    )  # fmt: skip
    uncertainty_n = Number(
        "Standard uncertainty of the load, in N.", "an uncertainty in N such as 10", above=0,
        most=10_000,
    )  # fmt: skip
    done_by = Text("Who pulled it, if not the workshop.")
    broke = Flag("Whether it broke at that load.", required=True)
    remark = Text("Anything to add.")


class InspectionSchema(Schema):
    """One part that was looked at."""

    builds = InspectionItem

    part = Text("Which part.", required=True)
    condition = Choice(
        "What the eye found; `repaired`: it was, and was repaired in this service.",
        Condition,
        required=True,
    )
    remark = Text("Anything to add.")


class FlightSchema(Schema):
    """Whether the wing may fly, as the workshop decided."""

    builds = FlightDecision

    flight = Choice("The decision.", Flight, required=True)
    conditions = Text("Under which conditions, if it is released with conditions.")
    reason = Text(
        "Why; needed to release a wing that this report advises against flying, asks to have "
        "measured, checked or asked about first, or finds outside limits."
    )
    by = Text("Who decided, if not the one who signs; the workshop where nobody does.")


class JobFileSchema(FileSchema):
    """A whole job."""

    workshop = PartOrFile(
        ShopSchema,
        "The workshop, or its shop file; left out, the nearest shop.yaml beside or above the job.",
    )
    report = NestedMapping(
        ReportSchema, "What is written otherwise in this report than in the workshop's."
    )
    service = NestedMapping(ServiceSchema, "The service as an order.", required=True)
    pilot = NestedMapping(PilotSchema, "Who flies the wing.")
    wing = NestedMapping(WingSchema, "The wing on the bench.", required=True)
    specification = PartOrFile(SpecificationSchema, "The maker's line set, or the file with it.")
    tolerances = tolerances("Override those of the specification, value by value.")
    common_offset = CommonOffsetField(
        "How the common offset of the line set is chosen; mean if left out."
    )
    before = NestedMapping(
        BeforeSchema, "Measured before the work; left out if the wing was measured only after it."
    )
    after = NestedMapping(
        AfterSchema,
        "Measured after the work; left out if nothing was done or the wing was not measured since.",
    )
    loops = NamedValues(
        "What each loop takes up in mm at this bench, by kind of maillon and loop.",
        NamedValues(
            "Take-up in mm by loop.",
            Number("", "a take-up in mm such as 8", least=0, most=1000),
            belongs="a block of loops with mm such as {single loop: 8}",
        ),
        belongs="a block of maillons with their loops",
    )
    decision = NestedMapping(FlightSchema, "Whether the wing may fly: the workshop's decision.")
    adjustments = Items("What was changed, line by line.", AdjustmentSchema)
    plan = NestedMapping(
        PlanSchema,
        "A retrim that `trimscribe plan` has proposed; `trimscribe plan JOB --done` makes it "
        "adjustments.",
    )
    replacements = Items("What was exchanged.", ReplacementSchema)
    cloth = NestedMapping(ClothSchema, "Tests of the cloth.")
    strength = Items("Lines that were pulled.", StrengthSchema)
    inspection = Items("Parts that were looked at.", InspectionSchema)
    notes = Text("Anything else the pilot should know.")
    redacted = Flag("Whether all about the pilot was left out of this copy.")
    thresholds = thresholds("Override the analysis's thresholds by name.")
    decision_rule = DecisionRuleField(
        "How results are compared with limits; the shop's rule if left out."
    )
    confirmed = NamedValues(
        "Values that looked doubtful and are right all the same: why, by the name that `check` "
        "gives them.",
        Text,
        belongs="a block of keys such as {before.left.A3: measured twice}",
    )
