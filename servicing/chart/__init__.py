"""The history of one strut or tyre as a drawing: SVG for pages and the API, PNG for mail."""
