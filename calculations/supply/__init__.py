"""What a supply of gas can do for a strut: pumps, cylinder, compressor, hose."""
