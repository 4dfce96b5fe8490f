"""SQLite with writers of one process waiting in line."""
