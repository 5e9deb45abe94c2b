"""Flags: contradictions that are recorded, said, and cleared before review.

What happened at the wall is never refused. A flag names the records that contradict
each other; clearing it is an act of its own that names the flag's `mark`.

Source: project's choice.
"""

from __future__ import annotations

from dataclasses import dataclass

from project.domain.verdict import Ref


@dataclass(frozen=True, slots=True)
class Flag:
    """One contradiction: its kind, its words with the figures in them, its records."""

    key: str
    words: str
    records: tuple[Ref, ...]

    @property
    def mark(self) -> str:
        """A text that stays the same while the same records contradict each other.

        >>> Flag("second ticket", "…", (Ref("load", "b", "2"), Ref("load", "a", "1"))).mark
        'second ticket:a,b'
        """
        return f"{self.key}:{','.join(sorted(ref.id for ref in self.records))}"
