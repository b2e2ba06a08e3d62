"""The command ``pegwright``: one module a command, each a thin caller of the rooms below.

Only the standard library comes in at the start; a command imports what it needs when it runs.
"""
