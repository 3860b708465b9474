"""Measure how sharp the near eye is, say why it is not sharper, and how large a print it holds."""
