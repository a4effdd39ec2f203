"""The panel that a job is entered on: all that its files hold, in boxes, saved as it is typed.

Notes
-----
What is asked is read off the dataclasses of the job: their fields, types, bounds and defaults. Only the words
are written here (`labels`, `wall_labels`), one line for each key, so that a new key is asked for at once, and
a test says that it has no words yet. What is typed and cannot be stays in its box with what is wrong of it;
the job, and its folder, keep the last good value.
"""
