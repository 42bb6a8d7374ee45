"""The pages: parse, act, render."""
