"""Keys, private links and the seal round a portal."""
