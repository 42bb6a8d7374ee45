"""Figures of speed and quality, as ratios measured in one run."""
