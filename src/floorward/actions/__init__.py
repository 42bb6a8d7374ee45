"""What a coach does: load, compute, save, return."""
