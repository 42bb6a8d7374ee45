"""General mathematics: no word of lifting in here."""
