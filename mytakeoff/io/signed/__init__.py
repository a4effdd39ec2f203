"""What was signed, kept in the job's folder as job folders of its own, and how the job stands against it."""
