"""The panel that reads a survey and puts the wall into the job."""
