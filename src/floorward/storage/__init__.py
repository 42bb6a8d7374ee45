"""Rows and queries: the only place that knows the database."""
