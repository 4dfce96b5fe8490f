"""The yard: the web application that carries a skin from the freezer to leather."""
