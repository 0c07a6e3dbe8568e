"""One publication."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Source:
    """A publication: who, when, what, where, and how far the number was checked against it.

    `mark` is `read` (seen in the publication), `memory` (recalled, not confirmed), `derived` (computed from the
    former), `secondary` (seen as restated by others) or `practice` (common practice, no publication).
    """

    authors: str
    year: int
    title: str
    where: str
    mark: str = "read"
