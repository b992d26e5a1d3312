"""What people call the columns of an inventory (common practice, no source).

A name that could mean two things is among the doubtful ones, with the question to answer: a column
that is taken for another one may make a car suitable that is not.
"""

from __future__ import annotations

from collections.abc import Mapping

# Folded, without punctuation and without a unit. Our own names are not needed here.
NAMES: Mapping[str, tuple[str, ...]] = {
    "candidate": ("stock no", "stock number", "stock id", "stock", "inventory number"),
    "make": ("manufacturer", "brand"),
    "model": ("model name",),
    "model_year": ("my",),
    "trim": ("trim level",),
    "body_style": ("body", "body type"),
    "drivetrain": ("drive train", "drive type", "driven wheels"),
    "transmission": ("trans", "gearbox", "transmission type"),
    "parking_brake": ("park brake", "parking brake type"),
    "built_on": (
        "build date", "date built", "built", "date of manufacture", "manufacture date",
        "production date", "mfg date",
    ),
    "vin": ("vin number", "vin no", "vehicle identification number"),
    "as_weighed": ("scale weight",),
    "gvwr": ("gross vehicle weight rating",),
    "curb_weight": ("kerb weight", "curb mass", "kerb mass", "curb wt"),
    "weight_unit": ("unit of weight", "weight units"),
    "price": ("asking price", "list price"),
    "lot": ("location",),
    "listed_on": ("listed", "date listed", "listing date", "list date"),
}  # fmt: skip

_WEIGHT = (
    ("curb_weight", "gvwr", "as_weighed"),
    "the curb weight, the rating on the label, or a weighing ready to tow?",
)
_RATING = (
    ("gvwr", "as_weighed"),
    "the rating on the label, or what the car weighs?",
)
_EMPTY = (
    ("curb_weight",),
    "the curb weight, with all fluids? A dry or shipping weight is less and does not belong here",
)
_FUEL = (
    ("powertrain",),
    "does it distinguish hybrids from cars with only an engine? If not, leave it aside",
)
_OPTIONS = (("options",), "the options as the manual names them?")
_REGISTERED = (("built_on",), "the day of building? That of registration does not belong here")
_LISTED = (("listed_on",), "the day on which the car was listed?")
_MARKET = (("market",), "the country for which the car was built, not the one where it is now?")

DOUBTFUL: Mapping[str, tuple[tuple[str, ...], str]] = {
    "year": (("model_year",), "the model year, or the year of building or registration?"),
    "weight": _WEIGHT,
    "mass": _WEIGHT,
    "actual weight": _WEIGHT,
    "gvw": _RATING,
    "gvm": _RATING,
    "gross weight": _RATING,
    "gross vehicle weight": _RATING,
    "gross vehicle mass": _RATING,
    "max weight": _RATING,
    "unladen weight": _EMPTY,
    "empty weight": _EMPTY,
    "dry weight": _EMPTY,
    "shipping weight": _EMPTY,
    "fuel": _FUEL,
    "fuel type": _FUEL,
    "engine type": _FUEL,
    "drive": (("drivetrain",), "the driven wheels, or the side of the steering wheel?"),
    "series": (("trim",), "the trim, or part of the model's name?"),
    "version": (("trim",), "the trim, or part of the model's name?"),
    "variant": (("trim",), "the trim, or part of the model's name?"),
    "features": _OPTIONS,
    "packages": _OPTIONS,
    "equipment": _OPTIONS,
    "registered": _REGISTERED,
    "first registration": _REGISTERED,
    "date": _LISTED,
    "in stock date": _LISTED,
    "date in stock": _LISTED,
    "country": _MARKET,
    "region": _MARKET,
    "chassis no": (("vin",), "the VIN?"),
    "serial": (("vin",), "the VIN?"),
    "unit": (("weight_unit",), "the unit of the weights of each row?"),
    "units": (("weight_unit",), "the unit of the weights of each row?"),
    "msrp": (("price",), "the asking price of the car?"),
    "cost": (("price",), "the asking price, not what the car cost the dealer?"),
    "id": (("candidate",), "the name that people use for the car?"),
    "handbrake": (("parking_brake",), "how the parking brake is set?"),
}
