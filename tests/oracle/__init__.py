"""An independent second way to rate a panel, used to find faults in the first."""
