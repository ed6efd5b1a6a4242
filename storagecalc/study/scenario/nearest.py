"""The known word that a wrong one most likely stands for, and none where it is a wild guess."""

import difflib
import re
from collections.abc import Iterable
from functools import lru_cache


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word most like the given one, as a hint to append, or nothing."""
    close = nearest_word(word, known)
    return f'; did you mean "{close}"?' if close else ""


def nearest_word(word: str, known: Iterable[str]) -> str | None:
    """The known word that one most likely stands for; None where none is near in all its parts.

    Case, blanks and hyphens do not count. ``rack_price`` is not ``box_price``, though most of their
    letters are the same.
    """
    parts = _parts(word[:80])
    found = [(_likeness(parts, _parts(each)), each) for each in known]
    best = max(found, key=lambda pair: pair[0], default=(0.0, ""))
    return best[1] if best[0] >= 0.6 else None


@lru_cache(maxsize=4096)
def _parts(word: str) -> tuple[str, ...]:
    return tuple(part for part in re.split(r"[\s_-]+", word.casefold()) if part)


def _likeness(parts: tuple[str, ...], known: tuple[str, ...]) -> float:
    """0 to 1: how alike two words are; 0 where a part of the first is like none of the other."""
    whole = _ratio("".join(parts), "".join(known))
    if whole < 0.6 or whole >= 0.9:
        return whole if whole >= 0.9 else 0.0
    alike = all(any(_alike(part, other) for other in known) for part in parts)
    if len(known) <= len(parts):
        alike = alike and all(any(_alike(part, other) for other in parts) for part in known)
    return whole if alike else 0.0


def _alike(part: str, other: str) -> bool:
    one_letter = len(part) == len(other) > 1 and sum(map(str.__ne__, part, other)) == 1
    return one_letter or _ratio(part, other) >= 0.6


@lru_cache(maxsize=4096)
def _ratio(one: str, other: str) -> float:
    matcher = difflib.SequenceMatcher(None, one, other, autojunk=False)
    sure = min(matcher.real_quick_ratio(), matcher.quick_ratio()) < 0.6
    return 0.0 if sure else matcher.ratio()
