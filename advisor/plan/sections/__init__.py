"""The sections of a plan, one module a concern: each turns results into blocks of the document tree."""
