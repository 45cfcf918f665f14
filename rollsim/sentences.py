"""How does half a sentence become a whole one?"""


def assumed_words(count: int) -> str:
    """How many values nobody measured, half a sentence.

    Examples
    --------
    >>> assumed_words(1), assumed_words(12)
    ('1 value is assumed, not measured', '12 values are assumed, not measured')
    """
    return f"{count} value{' is' if count == 1 else 's are'} assumed, not measured"


def sentence(words: str) -> str:
    """Words with a capital first and a full stop last; none where there are no words.

    Examples
    --------
    >>> sentence("gross mass: not given"), sentence("")
    ('Gross mass: not given.', '')
    """
    return words and f"{words[:1].upper()}{words[1:]}."
