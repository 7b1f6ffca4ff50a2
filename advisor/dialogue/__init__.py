"""The conversation: a pure function from a case and a message to the case and a reply.

`opening` says what stands on the screen first, `turn` answers a message, `context` holds what both need.
Nothing is imported here, so that the first question need not wait for what only an answer needs.
"""
