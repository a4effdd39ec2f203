"""What was written down of a finished job, beside its ``job.toml``; folders of finished jobs."""
