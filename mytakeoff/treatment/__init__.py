"""One wall treated in one way, every stage cached."""
