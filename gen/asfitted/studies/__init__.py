"""Studies: network in, results, workings and findings out."""
