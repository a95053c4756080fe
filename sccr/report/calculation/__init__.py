"""The calculation report for the inspector's file: what it says, whatever it is printed on."""
