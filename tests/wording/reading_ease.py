"""Flesch's reading ease, with a plain syllable count."""

from __future__ import annotations

import re


def syllables(word: str) -> int:
    """Vowel groups, a silent final e not counted; a number or a unit counts one."""
    letters = re.sub(r"[^a-z]", "", word.lower())
    if not letters:
        return 1
    groups = len(re.findall(r"[aeiouy]+", letters))
    if letters.endswith("e") and not letters.endswith("le") and groups > 1:
        groups -= 1
    return max(1, groups)


def reading_ease(text: str) -> float:
    """206.835 - 1.015 words/sentence - 84.6 syllables/word.

    Source: Flesch, R. (1948), A new readability yardstick, J. Appl. Psychol. 32:221
    (from memory).
    """
    sentences = [part for part in re.split(r"[.!?:]+(?:\s|$)", text) if part.strip()]
    words = re.findall(r"[\w/.'-]+", text)
    spoken = sum(syllables(word) for word in words)
    return 206.835 - 1.015 * len(words) / len(sentences) - 84.6 * spoken / len(words)
