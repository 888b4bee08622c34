"""The plant as a graph: items with ports, joints between ports, and what a check of them tells."""
