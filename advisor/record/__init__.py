"""The season record: what was noted through the winter, and the forecast that learns from it.

Notes come in by `talk.read_notes` and are kept in a case as the acts of `fold.acts_for`; `fold.record_of` folds
them; `forecast.forecast` runs the season from them; `advice.advise`, `words` and `lookback` say what follows.
"""
