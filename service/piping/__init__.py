"""The gas system as a whole: its tree, what each pipe must be, the cheapest way of making it so, and a second judge."""
