"""The panel for one way of doing the job: map, sliders, costed table."""
