"""The invented documents that the demo is entered from; nothing in here exists.

One module a make of car, then the coaches, the tow gear, the law and the ordinary sequence. Each
document is written down as `notation` says; scripts/make_demo.py turns them into tables.
"""

from __future__ import annotations

from scripts.demo_manuals import (
    bessarin,
    coaches,
    corvath,
    dunmere,
    gear,
    halvern,
    law,
    miradec,
    oskelund,
    pellworth,
    quillon,
    tarrow,
    vantrel,
)
from scripts.demo_manuals.notation import Document

_MODULES = (
    bessarin,
    corvath,
    dunmere,
    halvern,
    miradec,
    oskelund,
    pellworth,
    quillon,
    tarrow,
    vantrel,
    coaches,
    gear,
    law,
)
DOCUMENTS: tuple[Document, ...] = tuple(
    document for module in _MODULES for document in module.DOCUMENTS
)

# Rows as a clerk left them: nobody has compared these with the page yet …
UNCHECKED = frozenset(
    {
        ("eligibility", "oskelund-fjell-2023-manual-lever"),
        ("vehicle_property", "pellworth-gannet-2022-dual-clutch-gvwr"),
        ("equipment_property", "ombrel-bar-5-length-max"),
    }
)
# … and this one was compared by the person who had entered it, on a later day.
SELF_CHECKED = frozenset({("eligibility", "halvern-wicket-2019-manual-hatch")})

# Documents of which no file is kept: a plate read by eye and a ticket that was mislaid.
WITHOUT_FILE = frozenset({"shop-ticket-nordhal-700", "zz-dell-ordinances"})
