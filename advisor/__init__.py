"""Byrewise: a rule-based adviser for wintering livestock on deep bedding."""

__version__ = "0.1.0"
