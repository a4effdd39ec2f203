"""The formats of scans."""
