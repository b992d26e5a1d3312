"""Quotes and figures: whatever a printer does to a text, and nothing that changes a word of it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.helpers.typeset import FIGURES, TOKENS, WORDS, lines, pdf, typeset, unicode_font
from towdb.contract.model import contract
from towdb.record.evidence.pages import read_pages
from towdb.record.evidence.quotes import PageText, Quote, figure_in


def stands(quote: str, text: str) -> bool:
    return Quote(quote).stands_in(PageText(text))


# ---------------------------------------------------------------- words


@pytest.mark.parametrize(
    ("quote", "text"),
    [
        ("may be towed", "It may be\ntowed."),
        ("may be towed", "It MAY  BE\u00a0TOWED."),
        ("the transmission", "the trans-\nmission"),
        ("the transmission", "the trans\u00ad\nmission"),
        ("the transmission", "the trans\u00admission"),
        ("the transmission", "the trans-  \n  mission"),
        ("four-wheel drive", "four-\nwheel drive"),
        ("four-wheel drive", "four\u2011wheel drive"),
        ("four-wheel drive", "four\u00adwheel drive"),
        ("two- and four-wheel drive", "two-\nand four-wheel drive"),
        ("key and/or button", "key and/\nor button"),
        ("fix a flat, efficient effect", "ﬁx a ﬂat, eﬃcient eﬀect"),
        ('the "Tow" mode', "the “Tow” mode"),
        ("the driver's side", "the driver’s side"),
        ("5-10 °C", "5–10 ℃"),
        ("below -10 °C", "below −10 ºC"),
        ("65 mph", "at 65mph."),
        ("65 mph", "at 65\u2009mph."),
        ("slopes above 17 %", "slopes above 17%"),
        ("1 1/2 in", "1½ in"),
        ("m/s² on it", "10 m/s2 on it"),
        ("wheels on the ground", "wheels on the ground—at any speed"),
        ("at any speed", "on the ground—at any speed"),
        ("on the ground - at any speed", "on the ground—\nat any speed"),
        ("on the ground — at any speed", "on the ground – at any speed"),
        ("kerb weight", "kerb weight² 3,540 lb"),
        ("up to 65", "up to 65."),
        ("up to 65", "up to 65, no more"),
        ("Chock the wheels", "③Chock the wheels"),
        ("GVWR … 4,450 lb", "GVWR ........ 4,450 lb"),
        ("GVWR … 4,450 lb", "GVWR........4,450 lb"),
        ("… towed with …", "It is towed with a bar"),
        ("…towed with…", "It is towed with a bar"),
        ("may … be … towed", "it may perhaps be gently towed"),
        ("N … N … shift", "N, then N; shift"),
        ("Größe 215", "GRÖSSE 215"),
        ("up to 65", "up to 65\n100 km/h"),
    ],
)
def test_a_quote_is_found_as_a_reader_finds_it(quote: str, text: str) -> None:
    assert stands(quote, text)


@pytest.mark.parametrize(
    ("quote", "text"),
    [
        ("", "all of it"), (" ", "all of it"), ("…", "all … of it"), ("… …", "all of it"),
        ('2"', '2" receiver'), ("of", "all of it"), ("--- … !", "--- !"), ("a … b … c", "a b c"),
        ("65 mph", "165 mph"), ("65 mph", "1,65 mph"), ("65 mph", "6.65 mph"),
        ("450 lb", "4,450 lb"), ("450 lb", "4 450 lb"), ("450 lb", "4\u202f450 lb"),
        ("450 lb", "4'450 lb"), (".5 in wide", "0.5 in wide"),
        ("5 in wide", ".5 in wide"), ("5 in wide", "gap .5 in wide"),
        ("10 °C", "below −10 °C"), ("10 °C", "-10 °C"),
        ("up to 65", "up to 65.5"), ("up to 65", "up to 650"), ("up to 4", "up to 4 450"),
        ("up to 65", "up to 65,5"), ("up to 2", "up to 2 1/2 in"), ("1/2 in wide", "1½ in wide"),
        ("up to 65", "up to 65½"), ("up to 50 km", "up to 50 km/h"), ("draws 15 A", "draws 15 A·h"),
        ("draws 15 A", "draws 15 Ah"), ("in position F1", "in position F12"),
        ("in position F", "in position F12"), ("65 mph", "65¹ mph"),
        ("towed", "untowed"), ("be towed", "be towedly"), ("Do not tow", "Do not tow-\ning"),
        ("motor", "motor-\nhome"), ("home", "motor-\nhome"), ("home", "motor\u00ad\nhome"),
        ("four", "four-wheel"), ("wheel", "four-\nwheel"), ("10 °C", "5–10 °C"),
        ("at 5", "at 5-10"), ("fuse 12", "fuse 12-\n1"), ("wheel", "four-wheel wheel-house"),
        ("fourwheel", "four-wheel"), ("trans-mission", "transmission"), ("notable", "not able"),
        ("not able", "notable"), ("may be towed", "may not be towed"),
        ("be … may", "may be"), ("may … may", "may be"), ("4,450 lb … GVWR", "GVWR 4,450 lb"),
        ("4450 lb", "4,450 lb"), ("4,450 lb", "4\ufffd450 lb"), ("56 mph", "5\x006 mph"),
    ],
)  # fmt: skip
def test_what_is_not_printed_is_not_found(quote: str, text: str) -> None:
    assert not stands(quote, text)


TEXTS = st.lists(TOKENS, min_size=4, max_size=30).map(" ".join)


@st.composite
def quoted(draw: st.DrawFn) -> tuple[str, str]:
    """A text, and a quote of it: some words in a row, or two runs of them."""
    words = draw(TEXTS).split(" ")
    cuts = sorted(draw(st.lists(st.integers(0, len(words)), min_size=4, max_size=4)))
    parts = [" ".join(words[a:b]) for a, b in (cuts[:2], cuts[2:])]
    quote = " … ".join(filter(None, parts))
    assume(any(sum(map(str.isalnum, part)) >= 3 for part in parts))
    return " ".join(words), quote


@settings(max_examples=200)
@given(st.data(), quoted())
def test_any_quote_is_found_however_its_page_is_set(
    data: st.DataObject, drawn: tuple[str, str]
) -> None:
    text, quote = drawn
    assert stands(quote, data.draw(typeset(text)))


@settings(max_examples=200)
@given(st.data(), quoted(), st.integers(0, 10**6))
def test_a_quote_changed_in_a_word_or_a_digit_is_not_found(
    data: st.DataObject, drawn: tuple[str, str], where: int
) -> None:
    text, quote = drawn
    tokens = quote.split(" ")
    places = [n for n, token in enumerate(tokens) if token != "…"]
    at = places[where % len(places)]
    token = tokens[at]
    digits = [n for n, char in enumerate(token) if char.isdigit()]
    in_a_digit = data.draw(st.booleans())
    if digits and in_a_digit:
        place = digits[where % len(digits)]
        changed = token[:place] + str((int(token[place]) + 5) % 10) + token[place + 1 :]
    else:
        changed = data.draw(st.one_of(WORDS, FIGURES.map(lambda figure: figure.split()[0])))
    # A word that is nowhere else in the text cannot put the quote elsewhere.
    assume(changed.casefold() not in text.casefold().split(" "))
    tokens[at] = changed
    assert not stands(" ".join(tokens), data.draw(typeset(text)))


def naively_stands(fragments: list[list[str]], words: list[str]) -> bool:
    """Whether runs of words are among others, one after the other."""
    if not fragments:
        return True
    first, *rest = fragments
    for at in range(len(words) - len(first) + 1):
        if words[at : at + len(first)] == first:
            return naively_stands(rest, words[at + len(first) :])
    return False


@settings(max_examples=200)
@given(st.data(), TEXTS, st.lists(st.lists(TOKENS, max_size=3), min_size=1, max_size=3))
def test_a_quote_is_found_just_where_its_words_stand(
    data: st.DataObject, text: str, drawn: list[list[str]]
) -> None:
    quote = " … ".join(" ".join(part) for part in drawn if part)
    assume(any(sum(map(str.isalnum, part)) >= 3 for part in quote.split("…")))
    fragments = [part.casefold().split() for part in quote.split("…")]
    # Often there, and often not quite.
    text = " ".join([text, *(" ".join(part) for part in data.draw(st.permutations(drawn))), text])
    expected = naively_stands(fragments, text.casefold().split())
    assert stands(quote, data.draw(typeset(text))) == expected


@settings(max_examples=20)
@given(data=st.data(), drawn=quoted())
def test_any_quote_is_found_in_a_printed_pdf(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject, drawn: tuple[str, str]
) -> None:
    text, quote = drawn
    path = tmp_path_factory.getbasetemp() / "printed.pdf"
    # The font has no thin spaces, and not every hyphen and ligature.
    plain = data.draw(typeset(text))
    for lacking, instead in ("\u2009 ", "\u2010-", "\u2011-"):
        plain = plain.replace(lacking, instead)
    plain = plain.replace("ﬃ", "ffi").replace("ﬀ", "ff")
    pdf(path, lines("other words"), lines(*plain.split("\n"), font=unicode_font()))
    assert stands(quote, read_pages(path).text(2))


# ---------------------------------------------------------------- figures


@pytest.mark.parametrize(
    ("quote", "value", "unit"),
    [
        ("at up to 65 mph (105 km/h)", "65", "mph"), ("at up to 65 mph (105 km/h)", "105", "km/h"),
        ("GVWR 4,450 lb", "4450", "lb"), ("4450lbs.", "4450", "lb"), ("4.450 kg", "4450", "kg"),
        ("4 450 kg", "4450", "kg"), ("4’450 kg", "4450", "kg"), ("1,6 km", "1.6", "km"),
        ("1.6 km", "1.6", "km"), ("1.60 m", "1.6", "m"), ("65.0 mph", "65", "mph"),
        ("above 104 °F (40 °C)", "104", "degF"), ("above 104 ºF (40°C)", "40", "degC"),
        ("104 ° F", "104", "degF"), ("−20 °C", "-20", "degC"), ("minus 20 °C", "-20", "degC"),
        ("10 and 12 mm", "10", "mm"), ("5–10 minutes", "5", "min"), ("1, 2 or 3 h", "1", "h"),
        ("a 15-amp fuse", "15", "A"), ("GVWR (lb) … 4,450", "4450", "lb"),
        ("for fifteen minutes", "15", "min"), ("forty-five percent", "45", "%"),
        ("forty percent", "0.4", "share"), ("1.3 times", "1.3", "share"),
        ("17 ft 2 in", "206", "in"), ("17' 2\"", "206", "in"), ("(17 ft 2 in)", "206", "in"),
        ("2 1/2 in", "2.5", "in"), ("2½ in", "2.5", "in"), ("2-1/2 in", "2.5", "in"),
        ("½ in", "0.5", "in"), (".5 in", "0.5", "in"), ("4 brakes", "4", "count"),
        ("12\u00a0V", "12", "V"), ("48 A·h", "48", "Ah"), ("11.2 ft/s²", "11.2", "ft/s2"),
        ("65 furlongs", "65", "furlongs"), ("up to 65", "65", ""),
    ],
)  # fmt: skip
def test_a_figure_is_read_with_its_unit(quote: str, value: str, unit: str) -> None:
    assert figure_in(quote, value, unit)


@pytest.mark.parametrize(
    ("quote", "value", "unit"),
    [
        ("65 mph (105 km/h)", "65", "km/h"), ("65 mph (105 km/h)", "105", "mph"),
        ("165 mph", "65", "mph"), ("65.5 mph", "65", "mph"), ("65,5 mph", "65", "mph"),
        ("4,450 lb", "450", "lb"), ("4 450 lb", "450", "lb"), ("4,000 lb", "4", "lb"),
        ("-20 °C", "20", "degC"), ("20 °C", "-20", "degC"), ("20 °C", "20", "degF"),
        ("5 m/s", "5", "m"), ("5 mm", "5", "m"), ("20 mi/h", "20", "mi"), ("15 Ah", "15", "A"),
        ("2½ in", "2", "in"), ("2½ in", "0.5", "in"), ("14 brakes", "4", "count"),
        ("1.65 m", "1.6", "m"), ("without a figure", "65", "mph"), ("", "65", "mph"),
        ("F65 mph", "65", "mph"), ("65 in a mph zone", "65", "mph"), ("sixty-five mph", "5", "mph"),
        ("fifteen minutes", "5", "min"), ("17 ft 2 in", "17", "in"), ("65 mph", "65", "furlongs"),
    ],
)  # fmt: skip
def test_a_figure_that_is_not_printed_is_not_read(quote: str, value: str, unit: str) -> None:
    assert not figure_in(quote, value, unit)


UNITS = sorted(name for name, unit in contract().units.items() if unit.symbol)
VALUES = st.decimals(0, 99_999, places=2, allow_nan=False).map(lambda value: value.normalize())


@given(VALUES, st.sampled_from(UNITS), st.data())
def test_every_spelling_of_every_unit_is_read(
    value: Decimal, unit: str, data: st.DataObject
) -> None:
    found = contract().units[unit]
    spelling = data.draw(st.sampled_from([found.symbol, found.name, *found.aliases]))
    number = f"{value:,f}" if data.draw(st.booleans()) else f"{value:f}"
    quote = f"Up to {number} {spelling} of it."
    assert figure_in(quote, f"{value:f}", unit)
    other = value + data.draw(st.sampled_from([Decimal(1), Decimal(10), Decimal("0.01")]))
    assert not figure_in(quote, f"{other:f}", unit)
    another = data.draw(st.sampled_from([name for name in UNITS if name != unit]))
    assert not figure_in(quote, f"{value:f}", another)
