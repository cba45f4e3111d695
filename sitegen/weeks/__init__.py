"""The fold over weeks, and the placing of sessions on days."""
