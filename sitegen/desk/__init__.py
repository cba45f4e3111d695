"""The coach's side: intake, roster, why, receive."""
