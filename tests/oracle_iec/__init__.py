"""A second way to rate a panel by IEC 61439-2, by trial: it shares no code and no table with the engine."""
