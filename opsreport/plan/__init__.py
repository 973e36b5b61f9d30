"""The rules of calculation, one pure step a file; nothing here opens a file or reads the clock."""
