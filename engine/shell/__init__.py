"""Files, clock and folders: everything that touches the machine.

For: stamping, saving and finding job logs.
Must never decide anything about a job.
"""
