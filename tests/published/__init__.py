"""Cases published elsewhere, each with its source named. Where a source contradicts the method, the test says so."""
