"""What the command prints and writes of jobs, without a notebook: tables, JSON, CSV, mistakes."""
