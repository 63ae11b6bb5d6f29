"""The log of a job as bytes: lines, schemas, and the chain that holds them together.

For: turning entries into bytes and bytes into verified entries.
Must never: open a file, read a clock, or mend what it reads.
"""
