"""All words of the pages in one place, for translation: one file a page in `en/`."""

from eyeplane.web.words.catalogue import all_words, words, words_under

__all__ = ["all_words", "words", "words_under"]
