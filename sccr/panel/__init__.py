"""What is rated: the panel, its supplies and components, and the one-line diagram between them."""
