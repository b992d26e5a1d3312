"""A change that takes long to judge: judged while others may write, and written only as judged."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol, TypeVar

from towdb.record.store.record import Change, Changing, Record

# How often a change is judged without the lock. If others have written each time, it is judged
# once more under the lock, so that it ends.
ROUNDS = 3


class Proposal(Protocol):
    """What a person wants to change, based on the record after one change."""

    def judge(self) -> bool:
        """Judge it, without reading the record; whether there is something to write."""

    def write(self, changing: Changing) -> None:
        """Write it as it was judged."""


P = TypeVar("P", bound=Proposal)


def carry_out(
    record: Record, who: str, why: str, propose: Callable[[Changing], P], *, dry_run: bool = False
) -> tuple[P, Change | None]:
    """Judge a proposal, and write it if the record is still as it was judged.

    Parameters
    ----------
    record : Record
        The record.
    who, why : str
        Who changes it, and for what reason.
    propose : callable
        Makes the proposal from the record; it only reads.
    dry_run : bool
        Only judge it: nothing is written and nobody has to wait.

    Returns
    -------
    tuple of (proposal, Change or None)
        The proposal as it was judged last, and the change that was written, if any.
    """
    for _ in range(ROUNDS):
        with record.looking(who, why) as seen:
            proposal = propose(seen)
        if not proposal.judge() or dry_run:
            return proposal, None
        with record.changing(who, why) as changing:
            if changing.change.comes_as(seen.change):
                proposal.write(changing)
                return proposal, changing.change
    with record.changing(who, why) as changing:
        proposal = propose(changing)
        if not proposal.judge():
            return proposal, None
        proposal.write(changing)
    return proposal, changing.change
