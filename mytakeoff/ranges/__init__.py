"""Litres, bags and money at 10, 50 and 90 %, and what drives the price."""
