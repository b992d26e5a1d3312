"""Which word a person may have meant: offered only where no word of another meaning is as likely.

People who correct a cell take what is offered. "Front-wheel drive" offered for a four-wheel
drive could make a car suitable that tears its transfer case apart.
"""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from towdb.contract.model import Vocabulary, name_key

# In a name with at least so many letters, so many may be wrong.
_MOST_SLIPS = 2
_MANY = 100
_SLIPS_BY_LETTERS = ((6, _MOST_SLIPS), (2, 1))
# A longer text was not meant as a word of a list.
_LONGEST = 60
_NEGATIONS = frozenset({"no", "not", "non", "none", "never", "without", "w", "wo", "sans", "minus"})


def word_hint(text: str, vocabulary: Vocabulary) -> str:
    """A clause that names the word that was probably meant, or nothing.

    Parameters
    ----------
    text : str
        What was typed; it is neither a word of the vocabulary nor an alias.
    vocabulary : Vocabulary
        Its words, aliases and unclear texts all count as what may have been meant.
    """
    near = likely_name(text, vocabulary.meanings)
    if near is None or near in vocabulary.unclear:
        return ""
    # The word itself, not what else people type for it: that is what the contract defines.
    return f"; did you mean {vocabulary.typed.get(near, near)}?"


def name_hint(text: str, names: Iterable[str]) -> str:
    """A clause that names the one name that was probably meant, or nothing; each means another."""
    near = likely_name(text, {name: name for name in names})
    return f"; did you mean {near}?" if near else ""


def likely_name(text: str, meanings: Mapping[str, Hashable]) -> str | None:
    """The name of which a text is probably a misspelling.

    None: it resembles no name, a name of another meaning could be meant just as well, or it
    negates the name.

    Parameters
    ----------
    text : str
        What was typed.
    meanings : mapping
        Each name, and what it means: names of equal meanings do not compete.
    """
    typed = _name(text)
    # A mark may turn it around: "!manual".
    if len(text) > _LONGEST or not typed.letters.isalnum():
        return None
    names = {name: _name(name) for name in meanings}
    slips = {name: _slips(typed, other) for name, other in names.items()}
    near = min(slips, key=lambda name: slips[name], default=None)
    # Of equally near names of one meaning the first of the list.
    if near is None or slips[near] > names[near].most_slips or _turns(typed, names[near]):
        return None
    least = slips[near]
    for name, number in slips.items():
        # Nearly as near is near enough to be what was meant.
        is_rival = number <= least or (
            number == least + 1 <= names[name].most_slips and names[name].digits == typed.digits
        )
        if is_rival and meanings[name] != meanings[near]:
            return None
    return near


def unclear_text(text: str, vocabulary: Vocabulary) -> str | None:
    """What a text that has several meanings may mean; None if it is not one of those."""
    words = vocabulary.unclear.get(name_key(text))
    if words is None:
        return None
    meanings = (
        f"{word} ({vocabulary.words[word].meaning})" if vocabulary.meanings_are_names else word
        for word in words
    )
    return f"may mean {' or '.join(meanings)}"


@dataclass(frozen=True)
class _Name:
    """A name, or what was typed, as it is compared: blanks aside."""

    words: frozenset[str]
    letters: str
    digits: tuple[str, ...]

    @property
    def most_slips(self) -> int:
        """How many slips are accepted: with few letters, any name is soon as near as any other."""
        return next((most for least, most in _SLIPS_BY_LETTERS if len(self.letters) >= least), 0)


@lru_cache(maxsize=10_000)
def _name(text: str) -> _Name:
    key = name_key(text)
    return _Name(frozenset(key.split("_")), key.replace("_", ""), tuple(re.findall("[0-9]+", key)))


def _slips(typed: _Name, name: _Name) -> int:
    """How many slips turn one into the other; of many, only that they are many."""
    one, other = typed.letters, name.letters
    # Letters that only one of them has are all slips; counting is quicker than aligning.
    strange = max(len(set(one) - set(other)), len(set(other) - set(one)))
    if max(strange, abs(len(one) - len(other))) > _MOST_SLIPS + 1:
        return _MANY
    return _distance(one, other)


def _turns(typed: _Name, name: _Name) -> bool:
    """Whether one means something else, and is not a misspelling of the other.

    "not manual" denies, "assisted" and "unassisted" are opposites, "3wd" is not a slip for "4wd",
    and nobody gets the first letter of a short name wrong.
    """
    if typed.digits != name.digits or _NEGATIONS & typed.words != _NEGATIONS & name.words:
        return True
    if name.most_slips < _MOST_SLIPS and typed.letters[0] != name.letters[0]:
        return True
    one, other = sorted((typed.letters, name.letters), key=len)
    return len(other) - len(one) >= 2 and other.endswith(one)


def _distance(one: str, other: str) -> int:
    """Letters left out, added, taken for another, or two of them swapped (optimal alignment)."""
    before: list[int] = []
    last = list(range(len(other) + 1))
    for i, letter in enumerate(one, start=1):
        row = [i]
        for j, wanted in enumerate(other, start=1):
            best = min(last[j] + 1, row[-1] + 1, last[j - 1] + (letter != wanted))
            if i > 1 and j > 1 and letter == other[j - 2] and one[i - 2] == wanted:
                best = min(best, before[j - 2] + 1)
            row.append(best)
        before, last = last, row
    return last[-1]
