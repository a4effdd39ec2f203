"""What every picture is drawn with: canvas, ink, letters, frames."""
