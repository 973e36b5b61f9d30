"""One file a group of documents: the plan laid out as typed tables, with no file library and no trade arithmetic."""
