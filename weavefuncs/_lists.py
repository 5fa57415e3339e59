"""Lists that belong side by side in one call."""

from __future__ import annotations

from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence


def side_by_side(first: str, values: Sequence[object], second: str, others: Sequence[object]) -> None:
    """Refuse the second list where it is not as long as the first."""
    if len(others) != len(values):
        raise WeaveError(
            second, f"a list of {len(values)}, as many as {first} has", f"a list of {len(others)}"
        )
