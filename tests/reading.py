"""How hard a text is to read: its words, and the school years that its sentences ask for."""

import re


def words(text):
    """Count what is read aloud: parts of a text with a letter or a digit in them."""
    return sum(bool(re.search(r"\w", part)) for part in text.split())


def syllables(word):
    """Count syllables: vowels that stand together, but for a silent e at the end; a figure counts as one."""
    letters = re.sub(r"[^a-z]", "", word.lower())
    silent = bool(re.search(r"([^aeiouyl]e|[^aeiouytd]ed)$", letters))
    return max(len(re.findall(r"[aeiouy]+", letters)) - silent, 1)


def grade(sentences):
    """Return the Flesch-Kincaid grade of sentences: 0.39 words a sentence + 11.8 syllables a word - 15.59."""
    every = [part for sentence in sentences for part in sentence.split() if re.search(r"\w", part)]
    return 0.39 * len(every) / len(sentences) + 11.8 * sum(map(syllables, every)) / len(every) - 15.59
