"""One measured condition of one system: its file, its validation, its readings, its result."""
