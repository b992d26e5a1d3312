"""The demo folder is a Data Package v2, by frictionless's own reading of that standard."""

from __future__ import annotations

import json
import shutil
import warnings
from pathlib import Path
from typing import Any

from tests.conftest import DEMO

with warnings.catch_warnings():
    # Of its own dependencies, and nothing of ours.
    warnings.simplefilter("ignore")
    import frictionless


def report(folder: Path) -> Any:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return frictionless.validate(str(folder / "datapackage.json"))


def test_the_demo_folder_is_a_valid_data_package() -> None:
    found = report(DEMO / "reference")
    assert found.valid, found.flatten(["rowNumber", "fieldName", "type", "note"])[:5]
    assert len(found.tasks) == 15


def test_a_spoilt_demo_folder_is_not(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(DEMO / "reference", tmp_path / "reference"))
    text = (folder / "vehicle_group.csv").read_text("utf-8")
    (folder / "vehicle_group.csv").write_text(
        text.replace("Quillon,Pika,2021", "Quillon,Pika,x", 1)
    )
    found = report(folder)
    assert {row[0] for row in found.flatten(["type"])} >= {"type-error"}


def test_the_descriptor_names_its_profile() -> None:
    # Data Package v2, https://datapackage.org
    package = json.loads((DEMO / "reference" / "datapackage.json").read_text("utf-8"))
    assert package["$schema"] == "https://datapackage.org/profiles/2.0/datapackage.json"
    assert {r["schema"]["fieldsMatch"] for r in package["resources"]} == {"superset"}
