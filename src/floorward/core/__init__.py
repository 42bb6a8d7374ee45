"""What Floorward knows: frozen records in, frozen records out. No framework, file, clock or random state."""
