"""What a client sees: one view per file, the chart, the calendar feed, the seal."""
