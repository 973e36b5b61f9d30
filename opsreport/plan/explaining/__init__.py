"""What a coordinator asks of the plan: why, how many more, what would mend it, what changed."""
