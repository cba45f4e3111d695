"""The calendar feed of one client, and its time zone."""
