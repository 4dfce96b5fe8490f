"""The yard under load, killed, on a full disk, and page by page. All of it on this machine only."""
