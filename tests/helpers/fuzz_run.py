"""Runs one call of a fuzz in this process or as one of its own, and says what did not hold."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import unicodedata
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NoReturn

import duckdb

import towdb
from tests.conftest import DEMO, ROOT
from tests.helpers.folders import BASE, copy_base, read_table, set_cell
from tests.helpers.fuzz_texts import Damaged, Parquet
from tests.helpers.fuzzing import COACH, LYING, Case
from towdb.cli import _status, app

# What turns the reading direction around or ends a line, beside the control characters.
_TURNS = set("\u061c\u200e\u200f\u2028\u2029\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_FORMATS = {".txt": "table", ".csv": "csv", ".json": "json", ".parquet": "parquet"}
# What is said beside an answer: how cars were read, and what is wrong with them counted.
_SAID_BESIDE = re.compile(r"Note: |[\d,]+ row\(s\) set aside in |.*: [\d,]+ row\(s\), [\d,]+ error")
_STRAY = re.compile(r"\.(writing|building|wal|tmp)$|^\.towdb-")
csv.field_size_limit(10_000_000)


@dataclass
class Outcome:
    """What came of a call: exit status, what was said, what lay there before and after."""

    status: int | None
    out: str
    err: str
    before: dict[str, bytes]
    after: dict[str, bytes]
    around: list[str] = field(default_factory=list)
    trouble: str = ""
    unchecked: list[str] = field(default_factory=list)


class Desk:
    """A folder with three releases; each call is typed in a new folder inside."""

    def __init__(self, folder: Path, demo: Path | None = None) -> None:
        self.folder = folder
        target = folder / "demo.duckdb"
        if demo is None:
            towdb.build(DEMO / "reference", target)
        else:
            shutil.copyfile(demo, target)
        towdb.build(BASE, folder / "base.duckdb")
        with tempfile.TemporaryDirectory() as name:
            changed = copy_base(Path(name) / "changed")
            set_cell(changed, "source", 0, "title", "Another title (invented)")
            towdb.build(changed, folder / "other.duckdb")
        (folder / "coach.toml").write_bytes(COACH)
        self.names = sorted(os.listdir(folder))

    def run(self, case: Case, *, apart: bool = False) -> Outcome:
        """Run a case; `apart`: as a process of its own."""
        with tempfile.TemporaryDirectory(dir=self.folder, prefix="case-") as name:
            here = Path(name)
            self.lay(case, here)
            before = content(here)
            ran = _apart(case.call, here) if apart else _inside(case.call, here)
            done = Outcome(*ran[:3], before, content(here), trouble=ran[3])
            done.around = sorted({*os.listdir(self.folder)} - {*self.names, here.name})
            if done.status == 0:
                done.unchecked = list(_unchecked(case, done, here))
            return done

    def lay(self, case: Case, here: Path) -> None:
        """Put the files of a case into a folder."""
        if case.kind in ("check", "build"):
            copy_base(here / "ref")
        for name, what in case.files.items():
            path = here / name
            path.parent.mkdir(parents=True, exist_ok=True)
            match what:
                case None:
                    path.unlink(missing_ok=True)
                case bytes():
                    path.write_bytes(what)
                case Damaged():
                    path.write_bytes(self._damaged(what))
                case Parquet():
                    _write_parquet(what, path)

    def _damaged(self, damage: Damaged) -> bytes:
        return _hurt((self.folder / "base.duckdb").read_bytes(), damage)


def _hurt(data: bytes, damage: Damaged | Parquet) -> bytes:
    changed = bytearray(data)
    for share in damage.turned:
        changed[int(share * len(changed))] ^= 0xFF
    return bytes(changed[: int(damage.cut * len(changed))])


def content(folder: Path) -> dict[str, bytes]:
    """The files below a folder."""
    files = (path for path in folder.rglob("*") if path.is_file())
    return {str(path.relative_to(folder)): path.read_bytes() for path in files}


def _write_parquet(what: Parquet, path: Path) -> None:
    columns = ", ".join(
        f'{value} AS "{name.replace(chr(34), chr(34) * 2)}"' for name, value in what.columns
    )
    with duckdb.connect() as con:
        con.execute(f"CREATE TABLE made AS SELECT {columns} FROM range(1, 4) AS r (i)")
        # Under a name that DuckDB can be told: the one it is to have may be no text.
        with tempfile.TemporaryDirectory() as folder:
            con.execute("COPY made TO $1 (FORMAT parquet)", [f"{folder}/made.parquet"])
            path.write_bytes(_hurt(Path(folder, "made.parquet").read_bytes(), what))


def _inside(call: tuple[str, ...], here: Path) -> tuple[int | None, str, str, str]:
    # As Python opens them where a program's output goes into a file.
    out = io.TextIOWrapper(io.BytesIO(), "utf-8", "strict", newline="", write_through=True)
    err = io.TextIOWrapper(
        io.BytesIO(), "utf-8", "backslashreplace", newline="", write_through=True
    )
    status, trouble, argv = None, "", sys.argv
    sys.argv = ["towdb", *call]
    try:
        with (
            contextlib.chdir(here),
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
        ):
            status = _status(app)
    except Exception as error:
        trouble = f"{type(error).__name__}: {str(error)[:300]}"
    finally:
        sys.argv = argv
    said = [stream.buffer.getvalue().decode("utf-8") for stream in (out, err)]
    return status, said[0], said[1], trouble


def _apart(call: tuple[str, ...], here: Path) -> tuple[int | None, str, str, str]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"}
    command = [sys.executable, "-W", "error", "-m", "towdb", *call]
    done = subprocess.run(command, cwd=here, env=environment, capture_output=True, check=False)
    trouble = "a traceback" if b"Traceback" in done.stderr else ""
    return done.returncode, done.stdout.decode(), done.stderr.decode(), trouble


# ---------------------------------------------------------------- what must hold


def faults(case: Case, done: Outcome) -> list[str]:
    """What did not hold; nothing, if all is well."""
    if done.trouble or done.status is None:
        return [f"no exception may leave the command line: {done.trouble}"]
    return [
        *_status_is_documented(case, done),
        *(_refused(done) if _is_refusal(case, done) else _answered(case, done)),
        *_says_only_what_is_printable(case, done),
        *done.unchecked,
        *(_does_not_add_up(case, done) if done.status == 0 else ()),
        *(f"a stray file: {name!r}" for name in done.around),
        *(f"a stray file: {name!r}" for name in done.after if _STRAY.search(Path(name).name)),
    ]


def _status_is_documented(case: Case, done: Outcome) -> Iterator[str]:
    judges = ("check", "build", "inventory")
    allowed = (0, 1, 2) if case.kind in judges else (0, 2)
    if done.status not in allowed:
        yield f"exit status {done.status} of {case.kind}"


def _is_refusal(case: Case, done: Outcome) -> bool:
    return done.status == 2 or (done.status == 1 and case.kind == "build")


def _refused(done: Outcome) -> Iterator[str]:
    lines = done.err.split("\n")
    if lines[-1] != "" or not any(line.removeprefix("towdb:").strip() for line in lines):
        yield "a refusal says nothing, or does not end its line"
    for line in lines[:-1]:
        if not line.startswith("towdb: "):
            yield f"a line of a refusal: {line!r}"
    if done.out:
        yield f"a refusal on standard output: {done.out[:80]!r}"
    if done.after != done.before:
        yield f"a refusal wrote: {sorted(_changed(done))}"


def _answered(case: Case, done: Outcome) -> Iterator[str]:
    output, beside = _output(case), _beside(case)
    if said := [line for line in done.err.splitlines() if not _SAID_BESIDE.match(line)]:
        yield f"an answer on standard error: {said[0][:80]!r}"
    if others := _changed(done) - {output, *beside}:
        yield f"written beside the answer: {sorted(map(str, others))}"
    yield from _beside_is_whole(case, done)
    if output is None:
        yield from _is_whole(_wanted(case), done.out.encode())
    elif output not in done.after:
        yield f"no file {output!r}"
    elif case.kind == "build":
        if len(done.out.split("\n")) != 3:
            yield f"a build says two lines: {done.out!r}"
    else:
        if done.out:
            yield f"an answer in a file, and on standard output: {done.out[:80]!r}"
        yield from _is_whole(_end_of(output), done.after[output])
        if output.lower().endswith(".parquet"):
            yield from _no_verdicts(done.after[output])


def _beside_is_whole(case: Case, done: Outcome) -> Iterator[str]:
    beside = _beside(case)
    if over := {_output(case), *beside} & {name for name in case.files if name not in LYING}:
        yield f"written over what the call reads: {sorted(map(str, over))}"
    for name in beside:
        yield from _is_whole(_end_of(name), done.after.get(name, b""))


def _answer(case: Case, done: Outcome) -> str:
    output = _output(case)
    return done.out if output is None else done.after.get(output, b"").decode("utf-8", "replace")


def _changed(done: Outcome) -> set[str]:
    names = {*done.before, *done.after}
    return {name for name in names if done.before.get(name) != done.after.get(name)}


def _option(case: Case, *names: str) -> str | None:
    # The last of them counts, as for the program.
    found = [b for a, b in zip(case.call, case.call[1:], strict=False) if a in names]
    return found[-1] if found else None


def _output(case: Case) -> str | None:
    name = _option(case, "-o")
    return None if name is None else os.path.normpath(name)


def _beside(case: Case) -> list[str]:
    """Pictures, and rows set aside."""
    found = [_option(case, name) for name in ("--plot", "--set-aside")]
    return [os.path.normpath(name) for name in found if name is not None]


def _end_of(name: str) -> str:
    ends = Path(name).suffix.lower()
    return _FORMATS.get(ends, ends)


def _wanted(case: Case) -> str:
    return _option(case, "--format") or "table"


def _is_whole(form: str, data: bytes) -> Iterator[str]:
    try:
        match form:
            case "json":
                json.loads(data, parse_constant=_no_constant)
            case "csv":
                lengths = {len(row) for row in csv.reader(_lines(data), strict=True)}
                if len(lengths) != 1:
                    yield f"CSV with rows of {sorted(lengths)} cells"
            case "parquet":
                _parquet(data, "DESCRIBE FROM read_parquet($1)")
            case ".png":
                if not data.startswith(b"\x89PNG"):
                    yield "a picture that is no PNG"
            case ".svg":
                ET.fromstring(data)
            case _:
                if not data:
                    yield "an empty answer"
    except (ValueError, csv.Error, duckdb.Error, ET.ParseError) as error:
        yield f"an answer that is no {form}: {str(error)[:160]}"


def _lines(data: bytes) -> io.StringIO:
    return io.StringIO(data.decode("utf-8"), newline="")


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is no JSON")


def _parquet(data: bytes, query: str) -> list[tuple[Any, ...]]:
    with tempfile.NamedTemporaryFile(suffix=".parquet") as file, duckdb.connect() as con:
        file.write(data)
        file.flush()
        return con.execute(query, [file.name]).fetchall()


def _no_verdicts(data: bytes) -> Iterator[str]:
    found = _parquet(data, "SELECT verdict FROM read_parquet($1)")
    if {verdict for (verdict,) in found} - {"suitable", "not_suitable", "undetermined"}:
        yield "Parquet with verdicts that are none"


def _says_only_what_is_printable(case: Case, done: Outcome) -> Iterator[str]:
    texts = {"standard error": done.err}
    output = _output(case)
    if case.kind == "build" or (output is None and _wanted(case) == "table"):
        texts["standard output"] = done.out
    elif (
        output
        and output in done.after
        and output not in done.before
        and output.lower().endswith(".txt")
    ):
        texts["the file"] = done.after[output].decode("utf-8", "replace")
    for where, text in texts.items():
        acts = {c for c in text if unicodedata.category(c) in ("Cc", "Cs") or c in _TURNS} - {"\n"}
        if acts:
            yield f"unprintable on {where}: {', '.join(f'U+{ord(c):04X}' for c in sorted(acts))}"


# ---------------------------------------------------------------- no verdict without a checked row


def _unchecked(case: Case, done: Outcome, here: Path) -> Iterator[str]:
    """Suitable cars of an answer in JSON, or by the release just built, without a checked row."""
    if case.kind == "build":
        call = ("screen", "--coach", "../coach.toml", "--reference", case.call[-1])
        status, answer, err, trouble = _inside((*call, "--format", "json"), here)
        if status != 0 or trouble:
            yield f"the release that was built cannot be screened: {trouble or err}"
        elif (here / "ref" / "eligibility.csv").is_file():
            yield from _suitable_by_none(json.loads(answer), here / "ref")
    elif case.kind == "screen" and "--sql" not in case.call:
        folder = {"../demo.duckdb": DEMO / "reference", "../base.duckdb": BASE}
        answer = _answer(case, done)
        reference = folder.get(_option(case, "--reference") or "")
        if reference and answer.startswith("{"):
            yield from _suitable_by_none(json.loads(answer), reference)


def _suitable_by_none(document: dict[str, Any], folder: Path) -> Iterator[str]:
    permits = {
        row["eligibility_id"].strip()
        for row in read_table(folder, "eligibility")
        if row["permission"] == "permitted"
        and row["towing_method"] == "four_wheels_down"
        and row["purpose"] in ("recreational", "any")
        and row["checked_by"]
        and row["checked_on"]
    }
    for screening in document["screenings"]:
        for car in screening["candidates"]:
            if car["verdict"] == "suitable" and not _cited(car) & permits:
                yield f"suitable without a checked permission: {car['candidate']!r}"


def _cited(car: dict[str, Any]) -> set[str]:
    (permission,) = (check for check in car["checks"] if check["check"] == "permission")
    return {c["key"] for c in permission["citations"] if c["table"] == "eligibility"}


def _does_not_add_up(case: Case, done: Outcome) -> Iterator[str]:
    """Cars of an answer in JSON that are counted twice, or nowhere."""
    answer = _answer(case, done)
    if case.kind not in ("weights", "summary") or not answer.startswith("{"):
        return
    told = json.loads(answer)
    kinds = {"weights": ("shares", ("within", "over", "unknown")),
             "summary": ("verdicts", ("suitable", "not_suitable", "undetermined"))}  # fmt: skip
    table, parts = kinds[case.kind]
    for row in told[table]:
        if told.get("weigh_by") != "price" and sum(row[name] for name in parts) != row["cars"]:
            yield f"{table} that do not add up: {row}"
    grouped = [row for row in told[table] if row["scope"] == "group"]
    each = max(1, len({(row.get("coach"), row.get("rating_lb")) for row in told[table]}))
    if told["by"] and told[table] and sum(row["cars"] for row in grouped) != told["cars"] * each:
        yield f"groups of {table} that do not add up to {told['cars']} cars"
