"""The one door into a practice: its files to texts, texts to values, every slip with its place."""
