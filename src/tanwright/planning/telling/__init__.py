"""An answer in plain words, in the reader's units: for the terminal, pages and paper alike."""
