"""Every text of a question: what is asked, why, and where to look."""

from __future__ import annotations

# Why a question is asked.
QUESTION_REASONS = {
    "word": "the manual distinguishes these cars",
    "confirmed": "the page adds a condition: {condition}",
    "procedure": "several procedures may apply; name the one that will be followed",
    "weight": "its weight ready to tow decides",
    "together": "no single answer is enough; a car with all of this would be suitable",
    "as_weighed": "weighed at {figure}, although {other}: weigh it again, and check which unit"
    " the ticket prints",
    "loaded_weight": "loaded it would weigh {figure}, although {other}: weigh it again, and"
    " check which unit the ticket prints",
    "beside_curb": "the lightest curb weight that may apply is {figure}",
    "beside_unloaded": "unloaded it weighs {figure}",
    "beside_gvwr": "its GVWR is {figure}",
    "coach_not_weighed": "the coach's loaded weight is not known",
}
# What is weighed, of the car and of the coach.
WEIGHINGS = ("as_weighed", "loaded_weight")
REASONS_OF_THE_CAR = ("depends_on_the_car", "may_be_forbidden")
CHECK_QUESTIONS = {
    ("permission", "sources_disagree"): ("documents",),
    ("permission", "ask_the_maker"): ("maker",),
    ("permission", "awaits_check"): ("check",),
    ("permission", "manual_is_silent"): ("maker",),
    ("permission", "nothing_on_record"): ("owner_manual",),
    ("permission", "depends_on_the_car"): ("owner_manual",),
    ("permission", "may_be_forbidden"): ("owner_manual",),
    ("procedure", "procedures_differ"): ("procedure",),
    ("procedure", "chosen_not_sure"): ("procedure",),
    ("hitch_receiver", "rating_missing"): ("hitch_receiver",),
    ("hitch_receiver", "mode_not_printed"): ("receiver_mode",),
    ("hitch_receiver", "depends_on_the_weight"): ("as_weighed",),
    ("hitch_receiver", "weight_unknown"): ("as_weighed",),
    ("hitch_receiver", "weights_contradict"): ("as_weighed",),
    ("combination_rating", "rating_missing"): ("gcwr", "loaded_weight"),
    ("combination_rating", "depends_on_the_weight"): ("as_weighed", "loaded_weight"),
    ("combination_rating", "weight_unknown"): ("as_weighed", "loaded_weight"),
    ("combination_rating", "weights_contradict"): ("as_weighed", "loaded_weight"),
    ("towing_capacity", "rating_missing"): ("towing_capacity",),
    ("towing_capacity", "depends_on_the_weight"): ("as_weighed",),
    ("towing_capacity", "weight_unknown"): ("as_weighed",),
    ("towing_capacity", "weights_contradict"): ("as_weighed",),
    ("coach_gross", "gvwr_not_known"): ("coach_gvwr",),
    ("coach_gross", "depends_on_the_weight"): ("loaded_weight",),
    ("coach_gross", "weights_contradict"): ("loaded_weight",),
    ("towed_gross", "gvwr_not_known"): ("gvwr",),
    ("towed_gross", "weights_contradict"): ("as_weighed",),
}
# What a question is about, where its name alone does not show whether car or coach is meant.
ABOUT = {
    "as_weighed": "the car's weight ready to tow",
    "gvwr": "the car's GVWR",
    "confirmed": "whether the page's further condition is met",
    "loaded_weight": "the coach's loaded weight",
    "hitch_receiver": "the receiver's weight-carrying figure",
    "gcwr": "the coach's GCWR",
    "towing_capacity": "the coach's towing capacity",
    "coach_gvwr": "the coach's GVWR",
    "receiver_mode": "the mode of the receiver plate's figure",
}
# What to do where no answer about the car settles it.
ASK_FIRST = {
    "maker": "Ask the manufacturer, or a dealer, in writing",
    "documents": "Ask the manufacturer which page applies",
    "check": "Have a second person compare the row with its page",
    "owner_manual": "Look in the owner's manual of this exact model year",
    "loaded_weight": "Weigh the coach with everybody and everything aboard",
    "hitch_receiver": "Read the plate on the coach's receiver",
    "receiver_mode": "The plate gives one figure and no mode: ask the receiver's manufacturer for"
    " the weight-carrying one",
    "gcwr": "Read the GCWR on the coach's chassis plate",
    "towing_capacity": "Look for a towing capacity in the coach's manual",
    "coach_gvwr": "Read the GVWR on the coach's chassis plate",
    "gvwr": "Read the GVWR on the label in the car's door opening",
}
WHERE = {
    "market": "the label in the door opening, or the manufacturer's data for the VIN",
    "powertrain": "the filler flap, the charging port, the build sheet",
    "drivetrain": "the build sheet, the badge, the shafts under the car",
    "transmission": "the lever and the pedals, the build sheet",
    "transfer_case": "a second lever or a switch for low range, the build sheet",
    "steering": "under the hood: a reservoir for fluid, or none",
    "parking_brake": "a lever, a pedal, or a switch",
    "shifter": "the lever: a cable under it, or only wires; the build sheet",
    "ignition": "the dash: a key slot or a button",
    "trim": "the badge, the build sheet",
    "body_style": "the car itself",
    "engine": "the label under the hood, the build sheet",
    "model_year": "the title, the tenth character of the VIN",
    "built_on": "the label in the door opening",
    "options": "the build sheet",
    "confirmed": "the page itself, and the car",
    "procedure": "the pages themselves, and the car",
    "as_weighed": "a scale, with everything in the car that travels",
    "gvwr": "the label in the door opening",
    "loaded_weight": "a scale, with everybody and everything aboard that travels",
    "hitch_receiver": "the plate on the coach's receiver",
    "receiver_mode": "the receiver's manufacturer",
    "gcwr": "the chassis plate of the coach",
    "towing_capacity": "the coach's manual; write 'none stated' if it gives none",
    "coach_gvwr": "the chassis plate of the coach",
    "check": "the page itself: a second person compares the row with it",
    "documents": "both pages, and the manufacturer",
    "maker": "the manufacturer, or a dealer, in writing",
    "owner_manual": "the owner's manual of this exact model year",
    "all_together": "the car, its labels and papers",
}
