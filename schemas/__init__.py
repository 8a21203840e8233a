"""Everything that crosses the edge: requests, answers, the kit manifest, label templates, the problem document."""
