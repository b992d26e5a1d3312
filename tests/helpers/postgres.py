"""A PostgreSQL server of the tests' own: started on a socket in a temporary folder, and stopped."""

from __future__ import annotations

import glob
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

USER = "clerk"


def binaries() -> Path | None:
    """The folder that holds initdb and pg_ctl; None where there is no PostgreSQL."""
    found = shutil.which("initdb")
    folders = [str(Path(found).resolve().parent)] if found else []
    folders += sorted(glob.glob("/usr/lib/postgresql/*/bin"), reverse=True)
    return next((Path(f) for f in folders if (Path(f) / "initdb").exists()), None)


@contextmanager
def server() -> Iterator[str]:
    """The address of a fresh server, without a database: ``postgresql://…?host=…``."""
    bin_folder = binaries()
    assert bin_folder is not None
    # A socket's path may have 107 characters.
    folder = Path(tempfile.mkdtemp(prefix="towdb-pg-", dir="/tmp"))
    data = folder / "data"
    as_user: list[str] = []
    if os.geteuid() == 0:
        # PostgreSQL refuses to be run by root.
        shutil.chown(folder, "postgres", "postgres")
        as_user = ["runuser", "-u", "postgres", "--"]

    def run(command: Sequence[str | Path]) -> None:
        done = subprocess.run(
            [*as_user, *map(str, command)], capture_output=True, text=True, cwd=folder, check=False
        )
        assert done.returncode == 0, done.stdout + done.stderr

    run([bin_folder / "initdb", "-D", data, "-U", USER, "-A", "trust", "-E", "UTF8", "--no-sync",
         "--locale=C.UTF-8"])  # fmt: skip
    options = f"-c listen_addresses='' -c unix_socket_directories={folder} -c fsync=off"
    run([bin_folder / "pg_ctl", "-D", data, "-w", "-l", folder / "log", "-o", options, "start"])
    try:
        yield f"postgresql://{USER}@/{{database}}?host={folder}"
    finally:
        run([bin_folder / "pg_ctl", "-D", data, "-m", "immediate", "stop"])
        shutil.rmtree(folder, ignore_errors=True)
