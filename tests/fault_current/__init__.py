"""The available fault current: derived by hand, held to its properties, and beside an independent library."""
