"""The policy file: what the house decides for itself."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from towdb.contract.documents import policy_keys
from towdb.contract.quantities import parse_quantity
from towdb.errors import UsageError, did_you_mean
from towdb.files.toml import read_toml


@dataclass(frozen=True)
class Policy:
    """The values of all policy keys; none can override a forbidding or missing statement."""

    values: dict[str, Any] = field(
        default_factory=lambda: {key: entry["default"] for key, entry in policy_keys().items()}
    )

    @property
    def weigh_by(self) -> str:
        """``best_known`` or ``gvwr``."""
        return str(self.values["weigh_by"])


def read_policy(policy: str | Path | Policy | None) -> Policy:
    """The policy of a file, over the defaults.

    Raises
    ------
    UsageError
        If it cannot be read or used; all its faults are listed, one a line.
    """
    if isinstance(policy, Policy):
        return policy
    if policy is None:
        return Policy()
    keys = policy_keys()
    faults, values = [], dict(Policy().values)
    for key, value in read_toml(Path(policy), "policy file").items():
        if key not in keys:
            faults.append(f"{policy}: unknown key {key}{did_you_mean(key, keys)}")
        elif wrong := _wrong(keys[key], value):
            faults.append(f"{policy}: {key}: {wrong}")
        else:
            values[key] = value
    if faults:
        raise UsageError("\n".join(faults))
    return Policy(values)


def _wrong(entry: dict[str, Any], value: Any) -> str | None:
    if "words" in entry:
        return None if value in entry["words"] else f"use one of {', '.join(entry['words'])}"
    if "minimum" in entry:
        number = isinstance(value, (int, float)) and not isinstance(value, bool)
        good = number and entry["minimum"] <= value <= entry["maximum"]
        return None if good else f"write a number from {entry['minimum']} to {entry['maximum']}"
    if "dimension" in entry:
        try:
            quantity = parse_quantity(str(value))
        except UsageError as error:
            return str(error)
        good = quantity.dimension == entry["dimension"] and quantity.canonical >= 0
        return None if good else f"write a {entry['dimension']}, such as {entry['default']}"
    return None if isinstance(value, bool) else "write true or false"
