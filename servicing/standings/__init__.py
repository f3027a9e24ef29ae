"""The read side of struts and tyres: how each stands, its history, its trend and its chart."""
