"""Commands on the shop's record: who entered what from which page, and the issued answers."""

from __future__ import annotations

import click

from towdb.cli.record.answers import affected, replay
from towdb.cli.record.conflicts import conflicts
from towdb.cli.record.drafts import carry_forward
from towdb.cli.record.entry import add, import_, init, template
from towdb.cli.record.evidence import attach, evidence
from towdb.cli.record.export import export, release
from towdb.cli.record.history import history
from towdb.cli.record.reinstate import reinstate
from towdb.cli.record.review import review
from towdb.cli.record.withdraw import withdraw

COMMANDS = (
    *(init, template, import_, add, attach, review, evidence, conflicts),
    *(withdraw, reinstate, carry_forward, history, replay, affected, export, release),
)


@click.group()
def record() -> None:
    """Keep a record: rows entered from owner's manuals, checked, with their history.

    A record is a SQLite file, or a PostgreSQL database for several seats. Name it with --record,
    and yourself with --as; or once, in TOWDB_RECORD and TOWDB_USER.

    \b
    Example: towdb record init --record shop.sqlite
    """


for _command in COMMANDS:
    record.add_command(_command)
