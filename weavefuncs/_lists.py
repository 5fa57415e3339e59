"""Lists that belong side by side in one call."""

from __future__ import annotations

from weavefuncs._columns import Labelled, refuse_other_index
from weavefuncs.errors import WeaveError

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence


def side_by_side(**lists: Sequence[object]) -> None:
    """Refuse a list that is not as long as the first, and a Series whose index differs from another's."""
    (first, values), *others = lists.items()
    labelled = values if isinstance(values, Labelled) else None
    for name, listed in others:
        if len(listed) != len(values):
            raise WeaveError(
                name, f"a list of {len(values)}, as many as {first} has", f"a list of {len(listed)}"
            )
        if isinstance(listed, Labelled):
            if labelled is not None and not labelled.labels.equals(listed.labels):
                raise refuse_other_index(name)
            labelled = listed
