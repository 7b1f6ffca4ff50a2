"""The season record: what was noted through the winter, and the forecast that learns from it."""
