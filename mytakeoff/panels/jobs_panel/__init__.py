"""All jobs of a folder of job folders: the table, what they come to together, which of them are odd.

Everything is looked at and nothing in a job folder is changed. Rows are kept beside the job folders as
`mytakeoff price --out jobs.csv` keeps them, so that one takes from the other what it has worked out. Jobs are
priced in processes of their own; the loop only looks in on them.
"""
