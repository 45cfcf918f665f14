"""How does half a sentence become a whole one?"""


def sentence(words: str) -> str:
    """Words with a capital first and a full stop last; none where there are no words.

    Examples
    --------
    >>> sentence("gross mass: not given"), sentence("")
    ('Gross mass: not given.', '')
    """
    return words and f"{words[:1].upper()}{words[1:]}."
