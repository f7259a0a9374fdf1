"""Tests of cloth and lines and the visual inspection, as written in a job."""

from trimscribe.model.checks import (
    Condition,
    InspectionItem,
    Porosity,
    PorosityReading,
    PorosityUnit,
    StrengthTest,
    TearReading,
    TearTest,
)
from trimscribe.model.wing import Side
from trimscribe.schemas.fields import Choice, Flag, Items, NestedMapping, Number, Schema, Text

_FORCE = "a load in N such as 900"


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
        "s (higher is better) or L/m2/min (lower is better).",
        PorosityUnit,
        required=True,
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
