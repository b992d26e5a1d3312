"""What a statement requires, as a person follows it: limits, then numbered steps by phase."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from towdb.contract.model import contract
from towdb.wording import sentences

Record = Mapping[str, Any]
_SIGNAL_WORD = re.compile(r"[A-Z]{4,}\b")


class Item(NamedTuple):
    """One line of a procedure.

    Attributes
    ----------
    number : str
        As the page prints it; empty for limits, warnings, and the fuses below their step.
    text : str
        What to do, or never to do.
    notes : tuple of str
        What one should see, and what to do otherwise; what a fuse disables, when it is restored.
    condition : Record
        The condition itself.
    """

    number: str
    text: str
    notes: tuple[str, ...]
    condition: Record


def procedure(conditions: Sequence[Record], units: str) -> Iterator[tuple[str, list[Item]]]:
    """The conditions of one statement in parts, each with its heading, in printed order."""
    limits = [c for c in conditions if c["phase"] is None]
    if limits:
        yield sentences.LIMITS, [_item(condition, units) for condition in limits]
    for phase in contract().vocabularies["phase"].words:
        of_phase = [_item(c, units) for c in conditions if c["phase"] == phase]
        if of_phase:
            yield sentences.PHASES[phase], of_phase


def _item(condition: Record, units: str) -> Item:
    text = sentences.condition_text(condition, units)
    if condition["phase"] is None:
        number = condition["alternative_no"]
        return Item("", f"{text} (alternative {number})" if number else text, (), condition)
    if condition["kind"] == "fuse":
        return Item("", text, tuple(fuse_notes(condition)), condition)
    label = sentences.STEP_LABELS.get(condition["step_kind"], "")
    # A page may print its own: "CAUTION! …", "Never …".
    if label and not (text.lower().startswith(label.lower()) or _SIGNAL_WORD.match(text)):
        text = f"{label}: {text}"
    notes = (
        f"{note}: {condition[name]}"
        for name, note in sentences.STEP_NOTES.items()
        if condition[name]
    )
    return Item(condition["printed_no"] or "", text, tuple(notes), condition)


def fuse_notes(condition: Record) -> Iterator[str]:
    """What is without power while a fuse is out, and when it must be back."""
    known = contract().vocabularies
    disabled = (word.strip() for word in (condition["disables"] or "").split(","))
    meanings = [known["disables"].words[word].meaning for word in disabled if word]
    yield sentences.DISABLES.format(", ".join(meanings)) if meanings else sentences.DISABLES_UNKNOWN
    restore = condition["restore"]
    is_stated = restore != "not_stated"
    when = known["restore"].words[restore].meaning
    yield sentences.RESTORE.format(when) if is_stated else sentences.RESTORE_NOT_STATED


def requirements_in_short(conditions: Sequence[Record]) -> str:
    """What one statement requires: its limits in words, fuses and steps counted by phase."""
    limits = [c for c in conditions if c["phase"] is None]
    always = [c["text"] for c in limits if c["alternative_no"] is None]
    numbers = sorted({c["alternative_no"] for c in limits if c["alternative_no"] is not None})
    choices = [
        ", ".join(c["text"] for c in limits if c["alternative_no"] == number) for number in numbers
    ]
    if len(choices) > 1:
        choices = ["either " + " or ".join(f"({choice})" for choice in choices)]
    parts = [*always, *choices] or ["no limit found on the page"]
    return "; ".join([*parts, *steps_in_short(conditions)])


def steps_in_short(conditions: Sequence[Record]) -> Iterator[str]:
    """Steps as the page numbers them, fuses and warnings: counted by phase, a part each."""
    for phase in contract().vocabularies["phase"].words:
        of_phase = [c for c in conditions if c["phase"] == phase]
        steps = [c for c in of_phase if c["kind"] != "fuse"]
        warnings = [c for c in steps if c["step_kind"] == "warning"]
        printed = {
            c["printed_no"] or f"not numbered {c['step_no']}"
            for c in steps
            if c["step_kind"] != "warning"
        }
        noun = "thing to fit" if phase == "once" else "step"
        counted = ((len(printed), noun), (len(of_phase) - len(steps), "fuse"))
        parts = [_counted(n, one) for n, one in (*counted, (len(warnings), "warning")) if n]
        if parts:
            yield f"{sentences.PHASES_IN_SHORT[phase]}: {', '.join(parts)}"


def _counted(number: int, one: str) -> str:
    first, _, rest = one.partition(" ")
    return f"{number} {one}" if number == 1 else f"{number} {first}s {rest}".rstrip()
