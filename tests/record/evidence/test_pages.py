"""Pages of documents: the PDFs are made by a general PDF library, so their text is known."""

from __future__ import annotations

import io
import os
import random
import subprocess
import sys
import warnings
import zlib
from pathlib import Path

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from pypdf.generic import EncodedStreamObject, NameObject, NumberObject
from reportlab.lib.pdfencrypt import StandardEncryption
from reportlab.pdfgen.canvas import Canvas

from tests.conftest import ROOT
from tests.helpers.typeset import Shelf, lines, pdf, together, unicode_font
from towdb.errors import UsageError
from towdb.record.evidence import pages as module
from towdb.record.evidence.pages import Pages, read_pages

LEFT = ("The vehicle may be towed with", "all four wheels on the ground,", "up to 65 mph.")
RIGHT = ("Pull fuse F12 (15 A) from the", "panel under the dash before", "every day of towing.")


def words(text: str) -> list[str]:
    return text.split()


# ---------------------------------------------------------------- what a PDF contains


def test_a_page_is_read_by_number_and_by_printed_label(tmp_path: Path) -> None:
    path = pdf(
        tmp_path / "manual.pdf",
        *(lines(f"this is page {name}") for name in ("i", "ii", "iii", "1", "2", "A-7", "A-8")),
        labels=[(0, "ROMAN_LOWER"), (3, "ARABIC", 1), (5, "ARABIC", 7, "A-")],
    )
    pages = read_pages(path)
    assert (pages.count, pages.labelled) == (7, True)
    for number, label in enumerate(("i", "ii", "iii", "1", "2", "A-7", "A-8"), 1):
        assert pages.named(f"p. {label}").numbers == (number,)
        assert words(pages.text(number)) == ["this", "is", "page", label]
        assert pages.name(number) == f"p. {label}"


def test_without_labels_a_page_is_called_by_its_place(tmp_path: Path) -> None:
    pages = read_pages(pdf(tmp_path / "a.pdf", lines("one"), lines("two")))
    assert not pages.labelled
    assert pages.name(2) == "file page 2"
    assert pages.named("p. 2").numbers == (2,)


def test_labels_that_only_count_are_none(tmp_path: Path) -> None:
    path = pdf(tmp_path / "a.pdf", lines("one"), lines("two"), labels=[(0, "ARABIC", 1)])
    assert not read_pages(path).labelled


def test_broken_labels_are_none(tmp_path: Path) -> None:
    path = pdf(tmp_path / "a.pdf", lines("one"), labels=[(0, "ARABIC", 5)])
    broken = path.read_bytes().replace(b"/Nums [", b"/Num5 [")
    path.write_bytes(broken)
    pages = read_pages(path)
    assert not pages.labelled
    assert words(pages.text(1)) == ["one"]


def test_labels_that_cannot_be_read_are_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(reader: pypdf.PdfReader) -> list[str]:
        raise KeyError("/Kids")

    path = pdf(tmp_path / "a.pdf", lines("one"), labels=[(0, "ARABIC", 5)])
    monkeypatch.setattr(pypdf.PdfReader, "page_labels", property(broken))
    assert not read_pages(path).labelled


def test_ligatures_come_through(tmp_path: Path) -> None:
    path = pdf(tmp_path / "a.pdf", lines("ﬁx the ﬂat place", font=unicode_font()))
    assert words(read_pages(path).text(1)) == ["ﬁx", "the", "ﬂat", "place"]


@pytest.mark.parametrize("angle", [90, 180, 270])
@pytest.mark.parametrize("how", ["the page", "the text"])
def test_a_turned_page_reads_as_it_is_held(tmp_path: Path, angle: int, how: str) -> None:
    def draw(canvas: Canvas) -> None:
        if how == "the page":
            canvas.setPageRotation(angle)
        else:
            canvas.translate(300, 400)
            canvas.rotate(angle)
        lines(*LEFT, left=0, top=0)(canvas)

    text = read_pages(pdf(tmp_path / "a.pdf", draw)).text(1)
    assert words(text) == words(" ".join(LEFT))


def test_columns_set_one_after_the_other_stay_so(tmp_path: Path) -> None:
    path = pdf(tmp_path / "a.pdf", together(lines(*LEFT), lines(*RIGHT, left=320)))
    assert words(read_pages(path).text(1)) == words(" ".join(LEFT + RIGHT))


def test_columns_set_line_by_line_are_found_by_how_they_look(tmp_path: Path) -> None:
    rows = [
        lines(text, left=left, top=740 - 14 * row)
        for row, pair in enumerate(zip(LEFT, RIGHT, strict=True))
        for text, left in zip(pair, (72, 320), strict=True)
    ]
    pages = read_pages(pdf(tmp_path / "a.pdf", together(*rows)))
    assert words(pages.text(1)) != words(" ".join(LEFT + RIGHT))
    assert [words(column) for column in pages.columns(1)] == [
        words(" ".join(LEFT)),
        words(" ".join(RIGHT)),
    ]


def test_one_column_is_no_columns(tmp_path: Path) -> None:
    assert read_pages(pdf(tmp_path / "a.pdf", lines(*LEFT))).columns(1) == []


def test_a_scanned_page_has_no_text(tmp_path: Path) -> None:
    scan = tmp_path / "scan.png"
    Image.new("L", (60, 40), 200).save(scan)
    path = pdf(
        tmp_path / "a.pdf",
        lambda canvas: canvas.drawImage(str(scan), 72, 400),
        lines("printed"),
    )
    pages = read_pages(path)
    assert (pages.text(1).strip(), pages.fault(1)) == ("", "")
    assert words(pages.text(2)) == ["printed"]


# ---------------------------------------------------------------- locked, broken, not there


def refused(path: Path, what: str) -> None:
    with pytest.raises(UsageError, match=what) as caught:
        read_pages(path)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("strength", [40, 128])
def test_a_password_is_asked_for_in_plain_words(tmp_path: Path, strength: int) -> None:
    lock = StandardEncryption("open sesame", strength=strength)
    refused(pdf(tmp_path / "a.pdf", lines("hidden"), encrypt=lock), "needs a password")


@pytest.mark.parametrize("strength", [40, 128])
def test_a_lock_against_copying_keeps_nobody_from_reading(tmp_path: Path, strength: int) -> None:
    lock = StandardEncryption("", ownerPassword="maker", canCopy=0, strength=strength)
    path = pdf(tmp_path / "a.pdf", lines("to be read"), encrypt=lock)
    assert words(read_pages(path).text(1)) == ["to", "be", "read"]


def aes_locked(tmp_path: Path, password: str) -> Path:
    writer = pypdf.PdfWriter(clone_from=pdf(tmp_path / "plain.pdf", lines("to be read")))
    writer.encrypt(password, owner_password="maker", algorithm="AES-256")
    writer.write(tmp_path / "a.pdf")
    return tmp_path / "a.pdf"


def test_newer_locks_are_opened_too(tmp_path: Path) -> None:
    assert words(read_pages(aes_locked(tmp_path, "")).text(1)) == ["to", "be", "read"]
    refused(aes_locked(tmp_path, "open sesame"), "needs a password")


@pytest.mark.parametrize(
    ("missing", "what"),
    [("pypdf", "pypdf, which is not installed"), ("cryptography", "needs cryptography")],
)
def test_what_is_not_installed_is_named(tmp_path: Path, missing: str, what: str) -> None:
    path = aes_locked(tmp_path, "")
    program = (
        "import sys\n"
        f"sys.modules['Crypto'] = sys.modules[{missing!r}] = None\n"
        "from towdb.record.evidence.pages import read_pages, UsageError\n"
        "try:\n"
        f"    read_pages({str(path)!r})\n"
        "except UsageError as error:\n"
        "    print(error)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert what in done.stdout
    assert "pip install 'towdb[pdf]'" in done.stdout
    assert done.stderr == ""


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    refused(tmp_path / "none.pdf", "no such file")
    refused(tmp_path, "no such file")
    refused(tmp_path / ("a" * 5000), "cannot be read")
    refused(Path(f"{tmp_path}/a\0b"), r"cannot be read|no such file")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    refused(tmp_path / "pipe", "no such file")


@pytest.mark.parametrize("data", [b"", b" \n\t\n"])
def test_an_empty_file_is_refused(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "a.pdf").write_bytes(data)
    refused(tmp_path / "a.pdf", "empty")


def test_a_pdf_without_pages_is_refused(tmp_path: Path) -> None:
    pypdf.PdfWriter().write(tmp_path / "a.pdf")
    refused(tmp_path / "a.pdf", "no pages")


def test_a_file_beyond_the_cap_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = pdf(tmp_path / "a.pdf", lines("one"))
    size = path.stat().st_size
    monkeypatch.setattr(module, "MAX_FILE", size - 1)
    refused(path, "larger than")
    monkeypatch.setattr(module, "MAX_FILE", size)
    assert read_pages(path).count == 1


def read_all(path: Path) -> list[str] | str:
    try:
        pages = read_pages(path)
    except UsageError as error:
        return str(error)
    return [pages.text(n) + "".join(pages.columns(n)) for n in range(1, pages.count + 1)]


@settings(max_examples=150)
@given(seed=st.integers(0, 2**32), cut=st.booleans())
def test_damage_is_a_refusal_or_lost_text_and_nothing_else(
    tmp_path_factory: pytest.TempPathFactory, seed: int, cut: bool
) -> None:
    folder = tmp_path_factory.getbasetemp() / "damage"
    folder.mkdir(exist_ok=True)
    path = folder / "whole.pdf"
    if not path.exists():
        pdf(path, lines(*LEFT), lines(*RIGHT), labels=[(0, "ROMAN_LOWER"), (1, "ARABIC", 1)])
    data, chance = bytearray(path.read_bytes()), random.Random(seed)
    if cut:
        del data[chance.randrange(20, len(data)) :]
    for _ in range(chance.randrange(1, 30)):
        data[chance.randrange(20, len(data))] = chance.randrange(256)
    (folder / "broken.pdf").write_bytes(data)
    assert isinstance(read_all(folder / "broken.pdf"), (str, list))


def test_a_sloppy_file_makes_no_noise(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    path = pdf(tmp_path / "a.pdf", lines(*LEFT))
    data = path.read_bytes()
    at = data.index(b"startxref")
    path.write_bytes(data[:at] + b"startxref\n7\n%%EOF\n")
    program = (
        "from towdb.record.evidence.pages import read_pages;"
        f" print(read_pages({str(path)!r}).text(1))"
    )
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", program],
        capture_output=True, text=True, cwd=ROOT, check=False,
    )  # fmt: skip
    assert words(done.stdout) == words(" ".join(LEFT))
    assert done.stderr == ""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        read_pages(path).text(1)
    assert capfd.readouterr() == ("", "")


def test_a_page_that_unpacks_without_end_is_given_up(tmp_path: Path) -> None:
    writer = pypdf.PdfWriter(clone_from=pdf(tmp_path / "plain.pdf", lines("bomb"), lines("good")))
    bomb = EncodedStreamObject()
    bomb._data = zlib.compress(b" " * 80_000_000)
    bomb[NameObject("/Filter")] = NameObject("/FlateDecode")
    bomb[NameObject("/Length")] = NumberObject(len(bomb._data))
    writer.pages[0][NameObject("/Contents")] = writer._add_object(bomb)
    writer.write(tmp_path / "a.pdf")
    assert (tmp_path / "a.pdf").stat().st_size < 200_000
    pages = read_pages(tmp_path / "a.pdf")
    assert (pages.text(1), words(pages.text(2))) == ("", ["good"])
    assert "imit" in pages.fault(1)
    assert pages.fault(2) == ""


def test_a_page_longer_than_any_page_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MAX_PAGE_TEXT", 10)
    pages = Pages(Shelf("0123456789", "0123456789a"))
    assert [pages.text(1), pages.text(2)] == ["0123456789", ""]
    assert pages.fault(2) == "more than 10 characters"


# ---------------------------------------------------------------- texts and pictures


def test_a_form_feed_turns_the_page_of_a_text(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_bytes("\ufeffone\n\ftwo °\n\f\fthree\n\f\n".encode())
    pages = read_pages(path)
    assert [pages.text(n).strip() for n in range(1, pages.count + 1)] == [
        "one",
        "two °",
        "",
        "three",
    ]
    path.write_text("one\ftwo", "utf-16")
    assert read_pages(path).text(2) == "two"


def test_too_many_pages_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MAX_PAGES", 3)
    (tmp_path / "a.txt").write_text("a\fb\fc")
    assert read_pages(tmp_path / "a.txt").count == 3
    (tmp_path / "a.txt").write_text("a\fb\fc\fd")
    refused(tmp_path / "a.txt", "more than 3 pages")


@pytest.mark.parametrize("data", [b"caf\xe9 au lait", b"PK\x03\x04\0\0", b"\xff\xfe\0"])
def test_what_is_neither_is_refused(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "a.txt").write_bytes(data)
    refused(tmp_path / "a.txt", "not a PDF, a picture or a text in UTF-8")


@pytest.mark.parametrize("kind", ["jpeg", "png", "gif", "tiff", "webp"])
def test_a_picture_is_a_page_without_text(tmp_path: Path, kind: str) -> None:
    out = io.BytesIO()
    Image.new("L", (8, 8)).save(out, kind)
    (tmp_path / "label.jpg").write_bytes(out.getvalue())
    pages = read_pages(tmp_path / "label.jpg")
    assert (pages.count, pages.text(1)) == (1, "")


def test_the_content_says_what_a_file_is(tmp_path: Path) -> None:
    path = pdf(tmp_path / "a.txt", lines("one"))
    assert words(read_pages(path).text(1)) == ["one"]


# ---------------------------------------------------------------- which page is named

BOOK = ["i", "ii", "iii", "3", "9", "12", "3-12", "S-4", *map(str, range(212, 222))]


@pytest.mark.parametrize(
    ("locator", "labels"),
    [
        ("p. 214", "214"), ("p.214", "214"), ("p214", "214"), ("page 214", "214"),
        ("Page 214", "214"), ("Towing, p. 214", "214"), ("p. 214, left column", "214"),
        ("p. 214 (table 3)", "214"), ("214", "214"), ("pg. 214", "214"), ("p. 214.", "214"),
        ("p. iii", "iii"), ("p. III", "iii"), ("iii", "iii"), ("p. S-4", "S-4"),
        ("p. S–4", "S-4"), ("page 3-12", "3-12"), ("3-12", "3-12"), ("pp. 3-12", "3-12"),
        ("pp. 214-215", "214 215"), ("pp. 214–216", "214 215 216"), ("p. 214 and 216", "214 216"),
        ("pp. 214, 216", "214 216"), ("p. 3 and p. 9", "3 9"), ("pp. 212-215", "212 213 214 215"),
    ],
)  # fmt: skip
def test_a_locator_names_its_pages(locator: str, labels: str) -> None:
    named = Pages(Shelf(*BOOK), BOOK).named(locator)
    assert [BOOK[number - 1] for number in named.numbers] == labels.split()
    assert named.remark == ""


@pytest.mark.parametrize(
    ("locator", "remark"),
    [
        ("p. 2", "no label like p. 2"), ("p. 21", "no label"), ("p. 2147", "no label"),
        ("999", "no label"), ("p. iiii", "no label"), ("p. 4", "no label"), ("p. S-5", "no label"),
        ("door post", "names no page; give the file_page"), ("§ 12-4(a)", "names no page"),
        ("chapters 9 to 14", "names no page"), ("shop 214", "names no page"), ("", "names no page"),
        ("pp. 212-216", "names 5 pages"), ("p. ", "no label"),
    ],
)  # fmt: skip
def test_a_locator_may_name_no_page_of_the_file(locator: str, remark: str) -> None:
    named = Pages(Shelf(*BOOK), BOOK).named(locator)
    assert named.numbers == ()
    assert remark in named.remark


def test_a_document_of_one_page_needs_no_page_named() -> None:
    assert Pages(Shelf("")).named("door post").numbers == (1,)
    assert Pages(Shelf("")).named("p. 1").numbers == (1,)
    assert Pages(Shelf("")).named("p. 214").numbers == ()
    assert Pages(Shelf("")).named("p. 214", "1").numbers == (1,)


def test_the_file_page_says_where_a_printed_page_is() -> None:
    plain = Pages(Shelf(*"abcdef"))
    assert plain.named("p. 2", "4").numbers == (4,)
    assert plain.named("p. 214", "6").numbers == (6,)
    for beyond in ("7", "0", "-1", "x", "9" * 5000, "٣"):
        assert plain.named("p. 2", beyond).numbers == ()


def test_labels_and_file_page_may_differ_and_that_is_said() -> None:
    pages = Pages(Shelf(*"abc"), ["212", "213", "214"])
    assert pages.named("p. 213", "2") == module.Named((2,))
    differ = pages.named("p. 213", "3")
    assert (differ.numbers, differ.remark) == (
        (2, 3),
        "file page 3 is p. 214 by the labels of the file",
    )
    assert pages.named("p. 9", "3").numbers == (3,)
    beyond = pages.named("p. 213", "227")
    assert beyond.numbers == (2,)
    assert "no page 227" in beyond.remark
    assert pages.named("p. 9", "227").numbers == ()


def test_one_label_on_every_page_names_none() -> None:
    pages = Pages(Shelf(*"abcde"), ["A"] * 5)
    assert pages.named("p. A") == module.Named((), "p. A names 5 pages of the file")
    assert Pages(Shelf(*"abcd"), ["A"] * 4).named("p. A").numbers == (1, 2, 3, 4)


@given(st.lists(st.from_regex(r"\A[a-z0-9]{1,4}(-[a-z0-9]{1,3})?\Z"), min_size=2, unique=True))
def test_every_label_names_its_own_page(labels: list[str]) -> None:
    pages = Pages(Shelf(*labels), labels)
    for number, label in enumerate(labels, 1):
        assert pages.named(f"p. {label}").numbers == (number,)
        assert pages.named(f"Towing, page {label.upper()}").numbers == (number,)


@given(st.text(max_size=40), st.text(max_size=8))
def test_no_locator_is_too_odd(locator: str, file_page: str) -> None:
    for labels in (None, BOOK):
        pages = Pages(Shelf(*BOOK), labels)
        named = pages.named(locator, file_page)
        assert all(0 < number <= pages.count for number in named.numbers)
        assert named.numbers or named.remark


def test_a_page_is_read_once_and_only_when_it_is_asked_for() -> None:
    shelf = Shelf(*map(str, range(2000)))
    pages = Pages(shelf)
    pages.named("p. 1700")
    assert shelf.reads == []
    for _ in range(3):
        pages.text(1700)
        pages.columns(1700)
    assert shelf.reads == [("text", 1699), ("layout", 1699)]
