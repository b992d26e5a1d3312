"""Unseen characters against Unicode's Default_Ignorable_Code_Point (UAX #44).

The property is listed in DerivedCoreProperties.txt of the Unicode Character Database; Perl carries
that file, and answers for each code point whether it has the property.
"""

from __future__ import annotations

import shutil
import subprocess

import pytest

from towdb.invisible import DEFAULT_IGNORABLE, first_unseen, has_unseen, show_unseen

# What people and programs have hidden in names; each stands in DerivedCoreProperties.txt.
HIDDEN = [0xAD, 0x34F, 0x115F, 0x180E, 0x200C, 0x200D, 0x3164, 0xFFA0, 0xE0001, 0xFE0F, 0xE01EF]
SEEN = "Überlänge · 1,5 m – ° 東京 שלום سيارة e\u0301 🚗 a\u00a0b"


def test_the_ranges_are_those_of_the_standard() -> None:
    if shutil.which("perl") is None:
        pytest.skip("Perl, which carries the Unicode Character Database, is not here")
    program = (
        "for my $c (0..0x10FFFF) { next if $c >= 0xD800 && $c <= 0xDFFF;"
        ' print "$c\\n" if chr($c) =~ /\\p{Default_Ignorable_Code_Point}/ }'
    )
    done = subprocess.run(["perl", "-e", program], capture_output=True, text=True, check=True)
    expected = set(map(int, done.stdout.split()))
    ours = {code for low, high in DEFAULT_IGNORABLE for code in range(low, high + 1)}
    assert ours == expected


@pytest.mark.parametrize("code", HIDDEN, ids=hex)
def test_a_hidden_character_is_found_and_shown(code: int) -> None:
    text = f"a{chr(code)}b"
    assert first_unseen(text) == chr(code)
    assert show_unseen(text) == f"a<U+{code:04X}>b"


def test_what_is_seen_stays() -> None:
    assert not has_unseen(SEEN)
    assert show_unseen(SEEN) == SEEN
