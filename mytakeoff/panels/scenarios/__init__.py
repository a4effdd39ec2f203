"""Scenarios of a job: kept, shown, taken into the job, dropped, compared with what was agreed."""
