"""Floorward: keeps a sore lifter training, and brings the bar back to the floor."""
