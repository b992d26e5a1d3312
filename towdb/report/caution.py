"""The caution that every output for people prints once, at its foot."""

CAUTION = (
    "For information. The owner's manual of the exact vehicle, the coach's own labels, local law"
    " and a qualified installer decide."
)
INVENTED = "All rows are invented: no such vehicle, coach, part or document exists."


def foot(invented: bool) -> list[str]:
    """The lines at the foot of an output."""
    return [INVENTED, CAUTION] if invented else [CAUTION]
