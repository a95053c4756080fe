"""The one-line diagram of a rating: placed, folded into sheets, drawn with symbols of our own."""
