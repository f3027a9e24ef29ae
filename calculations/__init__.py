"""Numbers for servicing oleo struts and tyres: pure functions on arrays, nothing else."""
