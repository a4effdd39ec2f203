"""What is written for others: tables of costs and orders, a calendar."""
