"""A tyre under load: deflection, footprint, rating, floating on water."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from calculations.errors import refuse
from calculations.tyre_load import deflection_in, deflection_share, footprint_in2, hydroplaning_speed_kt
from calculations.tyre_rating import RATINGS, TyreRating, TyreSize, pressure_for_load_psig, read_size
from calculations.units import convert
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.given import together

_RIM: Final = "Tire and Rim Association, Aircraft Year Book (from memory, source not seen)"


class DeflectionShareInput(InputSerializer):
    """A tyre measured under its load."""

    outer_diameter = QuantityField("length", help_text="Inflated, off the ground.")
    loaded_radius = QuantityField("length", help_text="Axle to ground.")
    flange_diameter = QuantityField("length")


class DeflectionShareAnswer(CalculatorAnswer):
    """How much of the free section height is pressed in; design is 35 % for type III, 32 % for most others."""

    deflection = QuantityField("fraction")


class DeflectionInput(InputSerializer):
    """A tyre, its load and its pressure."""

    load = QuantityField("force")
    pressure = QuantityField("gauge_pressure")
    section = QuantityField("length", help_text="Width of the inflated tyre.")
    outer_diameter = QuantityField("length")
    rated_pressure = QuantityField("gauge_pressure", help_text="Rated inflation: stands for the carcass.")


class DeflectionAnswer(CalculatorAnswer):
    """An estimate; measure where it matters."""

    deflection = QuantityField("length")
    loaded_radius = QuantityField("length")
    footprint = QuantityField("area")
    hydroplaning_speed = QuantityField("speed", help_text="Above it a rolling tyre may float on standing water.")


class RatingInput(InputSerializer):
    """A load on a wheel, and the tyre: by size and ply, or by its own rating."""

    load = QuantityField("force", help_text="Greatest static load on the wheel.")
    size = serializers.CharField(max_length=24, required=False, help_text='As on the sidewall: "6.00-6".')
    ply_rating = serializers.IntegerField(required=False, min_value=1, max_value=60)
    rated_load = QuantityField("force", required=False, help_text="Of the sidewall; goes before the table.")
    rated_pressure = QuantityField("gauge_pressure", required=False, help_text="Unloaded.")


class RatingAnswer(CalculatorAnswer):
    """The rating, and the pressure that this load asks for."""

    rated_load = QuantityField("force")
    rated_pressure = QuantityField("gauge_pressure", help_text="Unloaded.")
    pressure_for_load = QuantityField("gauge_pressure", help_text="Unloaded; the manual goes before it.")
    section = QuantityField("length", allow_null=True)
    rim = QuantityField("length", allow_null=True)
    outer_diameter = QuantityField("length", allow_null=True, help_text="Null where the size does not give it.")


def _share(values: Mapping[str, Any]) -> Worked:
    names = ("outer_diameter", "loaded_radius", "flange_diameter")
    found = deflection_share(**{f"{name}_in": values[name] for name in names})
    return Worked({"deflection": found}, sources=(_RIM,), assumptions=("Measured on level ground.",))


def _deflection(values: Mapping[str, Any]) -> Worked:
    load, pressure = values["load"], values["pressure"]
    found, footprint, speed = together(
        lambda: deflection_in(
            load,
            pressure,
            section_in=values["section"],
            outer_diameter_in=values["outer_diameter"],
            rated_unloaded_psig=values["rated_pressure"],
        ),
        lambda: footprint_in2(load, pressure),
        lambda: hydroplaning_speed_kt(pressure),
    )
    radius = values["outer_diameter"] / 2 - found
    if radius <= 0:
        raise refuse("load_lbf", "tyre_crushed", "would press the tyre in beyond its axle")
    return Worked(
        {
            "deflection": found,
            "loaded_radius": radius,
            "footprint": footprint,
            "hydroplaning_speed": convert(speed, "kn", "ft/s"),
        },
        sources=(
            "Smiley and Horne, NACA TN 4110, 1958 (coefficients from memory, source not seen)",
            "Horne and Dreher, NASA TN D-2056, 1963",
        ),
        assumptions=("An estimate from size and pressure alone; the carcass takes a little off the footprint.",),
        steps=(Step.TYRE_CHECK,),
    )


def _rating(values: Mapping[str, Any]) -> Worked:
    size: TyreSize | None
    size, rating = together(
        lambda: read_size(values["size"]) if "size" in values else None,
        lambda: _rating_of(values),
    )
    load, pressure = values.get("rated_load", rating.load_lbf), values.get("rated_pressure", rating.unloaded_psig)
    wanted = pressure_for_load_psig(values["load"], rated_load_lbf=load, rated_unloaded_psig=pressure)
    from_table = tuple(name for name in ("rated_load", "rated_pressure") if name not in values)
    confirm = "Rating from memory, source not seen: confirm it from sidewall or data book before use."
    return Worked(
        {
            "rated_load": load,
            "rated_pressure": pressure,
            "pressure_for_load": wanted,
            "section": size and size.section_in,
            "rim": size and size.rim_in,
            "outer_diameter": size and size.outer_diameter_in,
        },
        sources=(_RIM,),
        assumptions=("Pressure in proportion to load.", *((confirm,) if from_table else ())),
        estimated=from_table,
        steps=(Step.TYRE_INFLATION,),
    )


def _rating_of(values: Mapping[str, Any]) -> TyreRating:
    """Return the table's rating, which is not looked at where the caller gives load and pressure."""
    size, ply = values.get("size", "").lower().replace("×", "x"), values.get("ply_rating")
    if "rated_load" in values and "rated_pressure" in values:
        return TyreRating(size, ply or 0, values["rated_load"], values["rated_pressure"])
    found = [one for one in RATINGS if one.size == size.strip() and one.ply == ply]
    if not found:
        known = ", ".join(f"{one.size} {one.ply} ply" for one in RATINGS)
        raise refuse("rated_load", "rating_unknown", f"give the sidewall's rated load and pressure; known: {known}")
    return found[0]


CALCULATORS: Final = (
    Calculator(
        "tyres/deflection-share",
        "find_tyre_deflection_share",
        "Deflection of a measured tyre",
        DeflectionShareInput,
        DeflectionShareAnswer,
        _share,
        {"outer_diameter": "17 in", "loaded_radius": "6.8 in", "flange_diameter": "7.25 in"},
    ),
    Calculator(
        "tyres/deflection",
        "estimate_tyre_deflection",
        "Deflection, loaded radius, footprint and speed of floating",
        DeflectionInput,
        DeflectionAnswer,
        _deflection,
        {
            "load": "800 lbf",
            "pressure": "29 psi",
            "section": "6.2 in",
            "outer_diameter": "17.5 in",
            "rated_pressure": "29 psi",
        },
        names={"rated_unloaded_psig": "rated_pressure"},
    ),
    Calculator(
        "tyres/rating",
        "check_tyre_rating",
        "Load against a tyre's rating, and the pressure that it asks for",
        RatingInput,
        RatingAnswer,
        _rating,
        {"load": "920 lbf", "size": "6.00-6", "ply_rating": 4},
        names={"rated_unloaded_psig": "rated_pressure"},
    ),
)
