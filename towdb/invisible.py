"""Characters that nobody sees: where they are refused and how they are shown is decided here."""

from __future__ import annotations

import re
from unicodedata import category

# The property Default_Ignorable_Code_Point of the Unicode Character Database (UAX #44, file
# DerivedCoreProperties.txt): a program that does not support such a character shows nothing.
DEFAULT_IGNORABLE = (
    (0x00AD, 0x00AD), (0x034F, 0x034F), (0x061C, 0x061C), (0x115F, 0x1160), (0x17B4, 0x17B5),
    (0x180B, 0x180F), (0x200B, 0x200F), (0x202A, 0x202E), (0x2060, 0x206F), (0x3164, 0x3164),
    (0xFE00, 0xFE0F), (0xFEFF, 0xFEFF), (0xFFA0, 0xFFA0), (0xFFF0, 0xFFF8), (0x1BCA0, 0x1BCA3),
    (0x1D173, 0x1D17A), (0xE0000, 0xE0FFF),
)  # fmt: skip
# What moves a cursor, changes a colour or ends a line; what XML forbids; a pattern of no dots
# in Braille, and marks of annotations between lines, which show nothing either.
_ACTING = (
    (0x00, 0x09), (0x0B, 0x1F), (0x7F, 0x9F), (0x2028, 0x2029), (0x2800, 0x2800),
    (0xD800, 0xDFFF), (0xFFF9, 0xFFFB), (0xFFFE, 0xFFFF),
)  # fmt: skip
_UNSEEN_CATEGORIES = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})


def _pattern(*ranges: tuple[int, int]) -> re.Pattern[str]:
    return re.compile(f"[{''.join(f'{chr(low)}-{chr(high)}' for low, high in ranges)}]")


_SHOWN = _pattern(*_ACTING, *DEFAULT_IGNORABLE)
_IGNORABLE = _pattern((0x2800, 0x2800), *DEFAULT_IGNORABLE)


def first_unseen(text: str) -> str | None:
    """The first invisible character of a text, line ends and tabs aside."""
    if text.isascii() and text.isprintable():
        return None
    for char in text:
        if char in "\n\t":
            continue
        if category(char) in _UNSEEN_CATEGORIES or _IGNORABLE.match(char):
            return char
    return None


def has_unseen(text: str) -> bool:
    """Whether a text has an invisible character, line ends and tabs aside."""
    return first_unseen(text) is not None


def code_point(char: str) -> str:
    """The name of an invisible character."""
    return f"U+{ord(char):04X}"


def show_unseen(text: str) -> str:
    """Text in which such characters, and those that act on a screen, are shown by their number."""
    return _SHOWN.sub(lambda match: f"<{code_point(match[0])}>", text)
